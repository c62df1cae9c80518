import type { Instant, Result } from '@tidemark/kernel';
import { fail, instant, ok, parseDuration_ms, parseInstant } from '@tidemark/kernel';

/** Where the clock stops: so long after the last line's receipt, or at a time. */
export type Until = { readonly type: 'after'; readonly ms: number } | { readonly type: 'at'; readonly at: Instant };

/** Reads `+90s`, `+5m`, `+3h`, `+2d`, `+PT1H30M`, or an RFC 3339 time. */
export function parseUntil(text: string): Result<Until, 'malformed-until'> {
  if (text.startsWith('+')) {
    const ms = parseDuration_ms(text.slice(1));
    return ms.ok ? ok({ type: 'after', ms: ms.value }) : fail('malformed-until');
  }
  const at = parseInstant(text);
  return at.ok ? ok({ type: 'at', at: at.value }) : fail('malformed-until');
}

/** The moment at which the clock stops; none when no line says when it was received and no time is given. */
export function stopAt(until: Until | undefined, last: Instant | undefined): Instant | undefined {
  if (until?.type === 'at') return last === undefined || until.at > last ? until.at : last;
  return last === undefined ? undefined : instant(last + (until?.ms ?? 0));
}
