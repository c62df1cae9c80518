import type { Instant } from '@tidemark/kernel';

/** Writes moments as the site's own clock shows them. */
export interface SiteClock {
  /** `2026-03-02 09:14:07.120 GMT+1`: a clock put back for winter shows no moment twice. */
  readonly show: (at: Instant) => string;
  /** As wide as a moment. */
  readonly blank: string;
}

/** The clock of an IANA time zone that the profile's reader has checked. */
export function siteClock(timeZone: string): SiteClock {
  const format = new Intl.DateTimeFormat('en-GB', {
    timeZone,
    calendar: 'iso8601',
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    hour: '2-digit',
    minute: '2-digit',
    second: '2-digit',
    fractionalSecondDigits: 3,
    hourCycle: 'h23',
    timeZoneName: 'shortOffset',
  });
  const show = (at: Instant): string => {
    const parts = new Map(format.formatToParts(at).map(({ type, value }) => [type, value]));
    const part = (type: Intl.DateTimeFormatPartTypes): string => parts.get(type) ?? '';
    const date = `${part('year')}-${part('month')}-${part('day')}`;
    const time = `${part('hour')}:${part('minute')}:${part('second')}.${part('fractionalSecond')}`;
    return `${date} ${time} ${part('timeZoneName').padEnd(zone_characters)}`;
  };
  return { show, blank: ' '.repeat('2026-03-02 09:14:07.120 '.length + zone_characters) };
}

/** `GMT+5:30` and the like. */
const zone_characters = 5;
