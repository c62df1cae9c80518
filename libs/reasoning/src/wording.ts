import type { Instant } from '@tidemark/kernel';
import type { EventReference, Mark } from '@tidemark/riser';
import type { Facts } from './facts.ts';

const formats = new Map<string, Intl.DateTimeFormat>();

/** The site's time of day, `08:14:07`. */
export function clockTime(at: Instant, timeZone: string): string {
  let format = formats.get(timeZone);
  if (format === undefined) {
    format = new Intl.DateTimeFormat('en-GB', {
      timeZone,
      hour: '2-digit',
      minute: '2-digit',
      second: '2-digit',
      hourCycle: 'h23',
    });
    formats.set(timeZone, format);
  }
  return format.format(at);
}

/** The panel's time of an event, in the site's zone. */
export const timeOf = (facts: Facts, mark: Mark | EventReference): string =>
  clockTime('ref' in mark ? mark.ref.at : mark.at, facts.profile.site.timeZone);

/** Any moment in the site's zone. */
export const at = (facts: Facts, moment: Instant): string => clockTime(moment, facts.profile.site.timeZone);

/** The name the site gave a point of that signal, in the middle of a sentence. */
export function nameOf(facts: Facts, reference: EventReference): string {
  const point = facts.picture.points.find(
    ({ signal, since, heard }) =>
      signal === reference.what && (since?.ref.id === reference.id || heard?.ref.id === reference.id),
  );
  const label = point?.label ?? plainNames[reference.what] ?? reference.what;
  return /^[A-Z][a-z]/.test(label) ? label.charAt(0).toLowerCase() + label.slice(1) : label;
}

/** The trade's words for the signals. */
export const plainNames: Readonly<Record<string, string>> = {
  'manual-pull': 'pull station',
  heat: 'heat detector',
  smoke: 'smoke detector',
  flame: 'flame detector',
  initiating: 'initiating device',
  waterflow: 'waterflow switch',
  'supply-valve': 'supply valve switch',
  'prime-valve': 'priming valve switch',
  'alarm-line-valve': 'alarm line valve switch',
  'prime-pressure-low': 'priming pressure switch',
  'supply-pressure-low': 'supply pressure switch',
  'pilot-air-low': 'pilot air switch',
  'low-temperature': 'low temperature switch',
  'release-disconnect': 'release disconnect switch',
  'release-circuit': 'release circuit',
  'initiating-circuit': 'initiating circuit',
  'ac-power': 'mains power',
  battery: 'battery',
  'earth-fault': 'earth fault',
  'panel-fault': 'panel fault',
  communication: 'communication',
  solenoid: 'release solenoid',
  'panel-alarm': 'panel alarm',
  'panel-supervisory': 'panel supervisory',
  'panel-trouble': 'panel trouble',
  silence: 'silence',
  reset: 'panel reset',
  'test-mode': 'panel test mode',
  'periodic-test': 'periodic test',
  'prime-pressure': 'priming pressure reading',
  'supply-pressure': 'supply pressure reading',
  'system-pressure': 'system pressure reading',
  flow: 'flow reading',
};

/** `a`, `a and b`, `a, b and c`. */
export function listed(items: readonly string[]): string {
  if (items.length < 2) return items[0] ?? '';
  return `${items.slice(0, -1).join(', ')} and ${items.at(-1) ?? ''}`;
}

/** The first letter as a sentence begins. */
export const sentence = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** Cautions that belong to an act, each said where the act is advised. */
export const cautions = {
  fire: 'Treat it as a fire until somebody on site has looked. Local rules and the fire service come first.',
  reset: 'Do not have the panel reset from here. A reset with a device still in alarm can release the riser again.',
  water:
    'Water may be flowing. Keep clear of the nozzles and of live electrical gear; do not assume that the valve is shut.',
  reopen:
    'Do not open the supply valve fully before priming pressure is back: the valve may trip again. Open slowly, with the nozzles clear of people.',
  unprotected:
    'Until this is settled, count the riser as out of service: a fire watch may be required. Local codes and the authority having jurisdiction decide.',
  record: 'Work on the riser belongs to licensed people. This is what the signals say, not an inspection.',
} as const;
