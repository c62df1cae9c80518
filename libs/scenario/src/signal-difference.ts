import type { Instant } from '@tidemark/kernel';
import type { SignalName } from '@tidemark/words';
import type { ExpectedSignal, Scenario } from './scenario.ts';
import { speakAt, speakStretch } from './speak-time.ts';

/** A signal as the station receives it. */
export interface HeardSignal {
  readonly signal: SignalName;
  /** Absent for readings. */
  readonly state: 'active' | 'restored' | 'performed' | undefined;
  readonly point: number | undefined;
  readonly receivedAt: Instant;
}

/**
 * Everything in which the signals of a story are others than expected, each a sentence. A signal that is named must come
 * as often as it is named, each time within its stretch; one that is not named is free.
 */
export function signalDifferences(scenario: Scenario, heard: readonly HeardSignal[]): readonly string[] {
  const expected = scenario.expect.signals ?? [];
  const named = new Set(expected.map(keyOf));
  const silent = new Set(expected.filter(({ state }) => state === 'never').map(({ signal }) => signal));
  const left = heard.filter((each) => named.has(keyOf(each)) || silent.has(each.signal));
  const differences = expected.flatMap((each) => {
    if (each.at === undefined) return [];
    const { from_ms, to_ms } = each.at;
    const place = left.findIndex((found) => {
      const at_ms = found.receivedAt - scenario.begin;
      return matches(each, found) && from_ms <= at_ms && at_ms <= to_ms;
    });
    if (place < 0) return [`${speak(each)} is missing: expected ${speakStretch(each.at)}`];
    left.splice(place, 1);
    return [];
  });
  const surplus = left.map((each) => `${speak(each)} is not expected: at ${speakAt(each.receivedAt - scenario.begin)}`);
  return [...differences, ...surplus];
}

type Named = Pick<ExpectedSignal, 'signal' | 'point'> & { readonly state: string | undefined };

const keyOf = ({ signal, state }: Named): string => `${signal} ${state ?? ''}`;

const matches = (expected: ExpectedSignal, found: HeardSignal): boolean =>
  keyOf(expected) === keyOf(found) && (expected.point === undefined || expected.point === found.point);

const speak = ({ signal, state, point }: Named): string =>
  `${signal} ${state ?? ''}${point === undefined ? '' : ` (point ${String(point)})`}`;
