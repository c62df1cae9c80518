import type { Aside, Subject } from '@tidemark/alerting';
import type { Picture, PointState } from '@tidemark/riser';
import { openImpairment, openTest, standingRelease } from '@tidemark/riser';
import { classOf } from '@tidemark/signals';
import type { AlertClass, ContactName } from '@tidemark/words';

/**
 * What a signal that stands alerts of by itself (CONTRACT 4), finding or none. The release counts as an alarm (NFPA 72,
 * 26.3.8.1.1; FACTS 1.34); the panel's own sum signals count as what they sum up.
 */
export function alertClassOf(signal: ContactName): AlertClass | undefined {
  switch (signal) {
    case 'panel-alarm':
      return 'alarm';
    case 'panel-supervisory':
      return 'supervisory';
    case 'panel-trouble':
      return 'trouble';
    default: {
      const signalClass = classOf(signal);
      if (signalClass === 'release') return 'alarm';
      return signalClass === 'alarm' || signalClass === 'supervisory' || signalClass === 'trouble'
        ? signalClass
        : undefined;
    }
  }
}

/** The key of a point's alert in its riser's book. */
export const alertKeyOf = (pointKey: string): string => `signal ${pointKey}`;

/** The subject of a point's alert, if its signal alerts at all. An alarm is held by its panel until a reset. */
export function subjectOf(pointKey: string, { signal, label }: PointState): Subject | undefined {
  const alertClass = alertClassOf(signal);
  if (alertClass === undefined) return undefined;
  return {
    key: alertKeyOf(pointKey),
    class: alertClass,
    name: signal,
    label,
    latches: classOf(signal) === 'alarm',
  };
}

/** Why a standing signal asks for nobody though it stands: announced, planned, or the plain consequence of a graver one. */
export function asideOf(picture: Picture, point: PointState, now_ms: number): Aside | undefined {
  return announced(picture, point, now_ms) ?? plannedFor(picture, point) ?? explained(picture, point);
}

/**
 * A signal that the open test expects, and that began in it. Water after a release is the release's, whatever was
 * announced: a real alarm in a test is an alarm (FACTS 1.44).
 */
function announced(picture: Picture, { signal, since }: PointState, now_ms: number): Aside | undefined {
  const test = openTest(picture, now_ms);
  if (test === undefined || since === undefined || !test.expect.includes(signal)) return undefined;
  if (since.order_ms < test.begin.order_ms) return undefined;
  if (signal === 'waterflow' && standingRelease(picture) !== undefined && !test.expect.includes('solenoid'))
    return undefined;
  return { as: 'out-of-service', why: 'An announced test expects this signal.' };
}

/**
 * Planned work explains supervisory signals (FACTS 1.36, prearranged). An emergency impairment explains nothing, and no
 * impairment explains an alarm or a trouble.
 */
function plannedFor(picture: Picture, { signal }: PointState): Aside | undefined {
  const open = openImpairment(picture);
  if (open?.kind !== 'planned' || alertClassOf(signal) !== 'supervisory') return undefined;
  return { as: 'out-of-service', why: `A planned impairment is declared: ${open.reason}` };
}

function explained(picture: Picture, point: PointState): Aside | undefined {
  if (point.signal === 'prime-pressure-low') return vented(picture, point);
  const echoed = echoOf[point.signal];
  if (echoed === undefined) return undefined;
  const said = [...picture.points.values()].find(
    (each) => each !== point && alertClassOf(each.signal) === echoed && outlasts(each, point),
  );
  return said && { as: 'suppressed', why: `The panel sums up what a point says itself: ${said.label}.` };
}

const echoOf: Partial<Readonly<Record<ContactName, AlertClass>>> = {
  'panel-alarm': 'alarm',
  'panel-supervisory': 'supervisory',
  'panel-trouble': 'trouble',
};

/** The point stands, or it restored only after the panel had summed it up: the panel may hold that until a reset. */
const outlasts = (each: PointState, { since }: PointState): boolean =>
  each.state === 'active' ||
  (each.state === 'restored' &&
    each.since !== undefined &&
    since !== undefined &&
    each.activations.length > 0 &&
    each.since.order_ms >= since.order_ms);

/** A release vents the priming chamber; until the pressure comes back for the first time, low is what it must be. */
function vented({ episode }: Picture, { since }: PointState): Aside | undefined {
  const release = episode?.end === undefined ? episode?.releases.at(-1) : undefined;
  if (release === undefined || since === undefined || since.order_ms < release.begin.order_ms) return undefined;
  if (episode?.primeBack !== undefined && episode.primeBack.order_ms >= release.begin.order_ms) return undefined;
  return { as: 'suppressed', why: 'The release vents the priming chamber.' };
}
