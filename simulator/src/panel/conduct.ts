import type { Line, LineKind } from './line.ts';
import type { PanelDefect } from './panel-defects.ts';
import type { PanelSettings } from './panel-settings.ts';

/** How a panel is programmed and what is wrong with it: all that its conduct depends on. */
export interface Programmed {
  readonly settings: PanelSettings;
  readonly defects: ReadonlySet<PanelDefect>;
}

/** Period of the panel's scan (MODEL 4: a contact is announced 0.25 s after it is made). */
export const scan_s = 0.25;

/** From the decision to current in the release circuit (MODEL 4: alarm at 0.25 s, solenoid at 0.30 s). */
const relay_s = 0.05;

/** A circuit must be faulted, or whole, for so long; 200 s are allowed (NFPA 72, 10.15.1; the figure is our choice). */
const troubleHold_s = 10;

/** From the return of power to the first scan (choice of this project). */
export const start_s = 10;

/** Beyond the 90 s of the device and the 10 s of the panel together (NFPA 72-2022 17.13.2, 2019 10.11.1). */
const waterflowDefect_s = 110;

/** Beyond the 200 s of a trouble signal (NFPA 72, 10.15.1). */
const troubleDefect_s = 300;

/** Beyond the limit that a profile has by default, 60 s. */
const clockDefect_s = 120;

/** How long a reading of the line must last before the panel acts on it. */
export function hold_s({ defects, settings }: Programmed, line: Line, active: boolean): number {
  if (line.kind === 'trouble') {
    if (line.signal === 'ac-power') return active ? settings.acLossHold_s : troubleHold_s;
    return troubleHold_s + (defects.has('trouble-late') ? troubleDefect_s : 0);
  }
  if (!active) return 0;
  const late_s = line.signal === 'waterflow' && defects.has('waterflow-late') ? waterflowDefect_s : 0;
  return (line.hold?.for_s ?? 0) + late_s;
}

/** Whether a reading that was gone before its hold was over is forgotten at once. A verification looks again at its end. */
export const forgetsAtOnce = ({ defects }: Programmed, { hold }: Line): boolean =>
  hold?.by === 'verification' ? false : !(hold?.by === 'retard' && defects.has('surge-alarms'));

/** Whether what was held is believed at the end whatever the line reads by then. */
export const believesBlindly = ({ defects }: Programmed, { hold }: Line): boolean =>
  hold?.by === 'verification'
    ? defects.has('verification-blind')
    : hold?.by === 'retard' && defects.has('surge-alarms');

/** Whether the panel watches the line at all. */
export function watches({ defects }: Programmed, { signal }: Line): boolean {
  if (signal === 'release-circuit') return !defects.has('release-circuit-unsupervised');
  if (signal === 'battery') return !defects.has('battery-unsupervised');
  if (signal === 'release-disconnect') return !defects.has('disconnect-not-reported');
  return true;
}

/** Whether the line, once active, is held until a reset. Alarms are; supervisory points as programmed (FACTS 1.10). */
export function latches({ defects, settings }: Programmed, { kind, signal }: Line): boolean {
  if (signal === 'waterflow' && defects.has('waterflow-not-latching')) return false;
  return kind === 'alarm' || (kind === 'supervisory' && settings.supervisoryRestorals === 'reset');
}

/** Whether a line that is held restores, for those who hear it, only with the reset. */
export const restoresWithReset = ({ settings }: Programmed, { kind }: Line): boolean =>
  (kind === 'alarm' ? settings.alarmRestorals : settings.supervisoryRestorals) === 'reset';

/** The group whose lamp a line lights. */
export const groupOf = ({ defects }: Programmed, { kind, signal }: Line): LineKind =>
  signal === 'waterflow' && defects.has('waterflow-as-supervisory') ? 'supervisory' : kind;

/** Whether a line that stands calls for the release. */
export const callsRelease = ({ defects }: Programmed, { kind, releases }: Line): boolean =>
  releases || (kind === 'supervisory' && defects.has('supervisory-releases'));

/** Whether the release waits for automatic detectors of two zones. */
export const waitsForTwo = ({ defects, settings }: Programmed): boolean =>
  settings.crossZoned && !defects.has('one-zone-releases');

/** From the alarm to current in the release circuit. */
export function releaseAfter_s({ defects, settings }: Programmed): number {
  const times = defects.has('release-delay-skipped') ? 0 : defects.has('release-delay-doubled') ? 2 : 1;
  return settings.releaseDelay_s * times + relay_s;
}

/** Whether the disconnect switch opens the release circuit. */
export const disconnects = ({ defects }: Programmed): boolean => !defects.has('releases-while-disconnected');

/** Whether there is an output to switch. */
export const switchesRelease = ({ defects, settings }: Programmed): boolean =>
  settings.releasesElectrically && !defects.has('release-output-dead');

/** Whether a reset is refused while a device is active. */
export const refusesReset = ({ defects, settings }: Programmed): boolean =>
  settings.refusesResetWhileActive && !defects.has('reset-not-refused');

/** Whether a line found again after a reset is announced anew. */
export const announcesAnew = ({ defects }: Programmed, { kind }: Line): boolean =>
  !(kind === 'supervisory' && defects.has('supervisory-not-anew'));

/** How far ahead the panel's clock is. */
export const clockAhead_s = ({ defects }: Programmed): number | undefined =>
  defects.has('clock-ahead') ? clockDefect_s : undefined;

/** The number that a line is published under. */
export function publishedPoint({ defects, settings }: Programmed, { point, signal }: Line): number | undefined {
  if (point === undefined || signal !== 'waterflow' || !defects.has('point-number-wrong')) return point;
  const after = settings.contacts.map((each) => each.point).filter((number) => number > point);
  return after.length > 0 ? Math.min(...after) : point + 1;
}
