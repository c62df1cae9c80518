import type { PointState, SourceClock } from '@tidemark/riser';
import { isInitiating } from '@tidemark/signals';
import { classOf } from '@tidemark/words';
import type { SignalName } from '@tidemark/words';
import type { Facts } from './facts.ts';

/** What can change of the facts: points by their signals, and the rest of the picture piece by piece. */
const parts = [
  'initiating',
  'waterflow',
  'supply-valve',
  'prime-valve',
  'prime-pressure-low',
  'solenoid',
  'release-disconnect',
  'panel-alarm',
  'trouble',
  'other-points',
  'episode',
  'tests',
  'impairments',
  'last-reset',
  'reset-owed',
  'heard',
  'heard-besides-test',
  'link',
  'readings',
  'strangers',
  'clocks',
  'missing',
] as const;

/** A part of the facts. */
export type Part = (typeof parts)[number];

/** A set of parts, one bit each. */
export type Parts = number;

const bits = Object.fromEntries(parts.map((part, index) => [part, 1 << index])) as Readonly<Record<Part, Parts>>;

/** The set of these parts. */
export const partsOf = (...some: readonly Part[]): Parts => some.reduce((set, part) => set | bits[part], 0);

/** Every part: of facts that were gathered anew. */
export const allParts: Parts = -1;

/** All points, whatever their signal. */
export const anyPoint: readonly Part[] = parts.slice(0, parts.indexOf('other-points') + 1);

function partOf(signal: SignalName): Part {
  if (isInitiating(signal)) return 'initiating';
  const own = anyPoint.find((part) => part === signal);
  if (own !== undefined) return own;
  return classOf(signal) === 'trouble' || signal === 'panel-trouble' ? 'trouble' : 'other-points';
}

const bitsOfSignals = new Map<SignalName, Parts>();

function bitOf(signal: SignalName): Parts {
  const known = bitsOfSignals.get(signal);
  if (known !== undefined) return known;
  const bit = bits[partOf(signal)];
  bitsOfSignals.set(signal, bit);
  return bit;
}

/** What differs between two gatherings of facts. States are values, so what is the same object is the same. */
export function changedParts(before: Facts, now: Facts): Parts {
  if (before.profile !== now.profile || before.spans !== now.spans) return allParts;
  const [was, is] = [before.picture, now.picture];
  return (
    changedPoints(was.points, is.points) |
    (was.episode === is.episode ? 0 : bits.episode) |
    (was.tests === is.tests ? 0 : bits.tests) |
    (was.impairments === is.impairments ? 0 : bits.impairments) |
    (was.lastReset === is.lastReset ? 0 : bits['last-reset']) |
    (was.resetOwed === is.resetOwed ? 0 : bits['reset-owed']) |
    (was.heard === is.heard ? 0 : bits.heard) |
    (was.heardBesidesTest === is.heardBesidesTest ? 0 : bits['heard-besides-test']) |
    (was.link === is.link ? 0 : bits.link) |
    (was.readings === is.readings ? 0 : bits.readings) |
    (was.strangers === is.strangers ? 0 : bits.strangers) |
    changedSources(before.sources, now.sources)
  );
}

function changedPoints(was: readonly PointState[], is: readonly PointState[]): Parts {
  if (was === is) return 0;
  let changed = 0;
  for (let index = 0; index < Math.max(was.length, is.length); index += 1) {
    const [one, other] = [was[index], is[index]];
    if (one === other) continue;
    if (one !== undefined) changed |= bitOf(one.signal);
    if (other !== undefined) changed |= bitOf(other.signal);
  }
  return changed;
}

function changedSources(was: readonly SourceClock[], is: readonly SourceClock[]): Parts {
  if (was === is) return 0;
  const sameMissing = was.length === is.length && is.every(({ missing }, index) => missing === was[index]?.missing);
  return bits.clocks | (sameMissing ? 0 : bits.missing);
}
