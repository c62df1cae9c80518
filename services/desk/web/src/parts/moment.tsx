import { clockTime, dayAndTime, utc } from '../time.ts';

/** A time in the site's zone, with UTC at hand as its title. */
export function Moment({ at, zone, now }: { readonly at: string; readonly zone: string; readonly now?: number }) {
  return (
    <time dateTime={at} title={utc(at)} className="moment">
      {now === undefined ? clockTime(at, zone) : dayAndTime(at, zone, now)}
    </time>
  );
}
