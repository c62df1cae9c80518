import { classOf } from '@tidemark/signals';
import type { Impairment, Picture, TestWindow } from './picture.ts';

/** The test window that is open at a moment of the story axis (ms). */
export function openTest(picture: Picture, order_ms: number): TestWindow | undefined {
  return picture.tests.find(
    ({ begin, end, endsAt }) =>
      begin.order_ms <= order_ms &&
      (end === undefined || end.order_ms > order_ms) &&
      (endsAt === undefined || endsAt > order_ms),
  );
}

/** The declared impairment that is open. */
export const openImpairment = (picture: Picture): Impairment | undefined =>
  picture.impairments.find(({ end }) => end === undefined);

/**
 * Whether the riser is in service at a moment (CONTRACT 4): no alarm, supervisory, `panel-alarm` or
 * `panel-supervisory` active, solenoid at rest, no test window, no impairment, and no reset owed.
 */
export function inService(picture: Picture, order_ms: number): boolean {
  if (picture.begun === undefined || picture.resetOwed) return false;
  for (const { signal } of picture.active) {
    const signalClass = classOf(signal);
    if (signalClass === 'alarm' || signalClass === 'supervisory' || signalClass === 'release') return false;
    if (signal === 'panel-alarm' || signal === 'panel-supervisory') return false;
  }
  return openTest(picture, order_ms) === undefined && openImpairment(picture) === undefined;
}

/** Whether anything still needs a person: in service, and no trouble stands either. */
export function nothingDeparts(picture: Picture, order_ms: number): boolean {
  if (!inService(picture, order_ms)) return false;
  return !picture.active.some(({ signal }) => classOf(signal) === 'trouble' || signal === 'panel-trouble');
}
