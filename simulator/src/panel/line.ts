import type { ContactName } from '@tidemark/signals';
import { vocabulary } from '@tidemark/signals';
import type { CircuitFault } from './panel-input.ts';
import type { ContactPoint, PanelSettings } from './panel-settings.ts';

/** One thing that a panel watches and may announce: a point, a trouble, its test mode. */
export interface Line {
  readonly signal: ContactName;
  readonly kind: LineKind;
  /** The number it is published under. */
  readonly point: number | undefined;
  /** Without a point of its own a disconnect switch shows in the panel's group signal alone. */
  readonly published: boolean;
  readonly hold: ContactPoint['hold'];
  readonly releases: boolean;
  readonly zone: number | undefined;
}

/** In order of urgency: alarm before supervisory before trouble (NFPA 72, 10.7, FACTS 1.11). */
export type LineKind = 'alarm' | 'supervisory' | 'trouble' | 'mode';

/** What a panel knows of a line, and what it does not know yet. */
export interface LineState {
  /** The condition itself, and what has become of the wiring to it. */
  readonly field: boolean;
  readonly circuit: CircuitFault | undefined;
  /** What the last scan read; undefined where an open circuit showed it nothing. */
  readonly sampled: boolean | undefined;
  /** What the panel acts on, after its holds; and when a reading that differs will be acted on. */
  readonly accepted: boolean;
  readonly acceptAt_s: number;
  /** Held until a reset. */
  readonly latched: boolean;
  /** Found before a reset and not announced anew yet. */
  readonly owed: boolean;
  /** What was last published; and whether it has to be published again, being a new occasion. */
  readonly announced: boolean;
  readonly anew: boolean;
}

/** A line at rest that nothing was published of. */
export const quietLine: LineState = {
  field: false,
  circuit: undefined,
  sampled: false,
  accepted: false,
  acceptAt_s: Infinity,
  latched: false,
  owed: false,
  announced: false,
  anew: false,
};

/** Whether the line keeps its group's lamp lit. */
export const stands = ({ accepted, latched, owed }: LineState): boolean => latched || (accepted && !owed);

/** Every line of a panel, in the order in which what happens at once is announced. */
export function linesOf({ contacts }: PanelSettings): readonly Line[] {
  const points = contacts.toSorted((one, other) => one.point - other.point);
  const of = (signals: readonly ContactName[], kind: LineKind): readonly Line[] =>
    points.filter(({ signal }) => signals.includes(signal)).map((point) => ({ ...point, kind, published: true }));
  const switched = points.some(({ signal }) => signal === 'release-disconnect');
  return [
    ...of(vocabulary.alarm, 'alarm'),
    ...of(vocabulary.supervisory, 'supervisory'),
    ...(switched ? [] : [{ ...unnumbered('release-disconnect', 'supervisory'), published: false }]),
    ...vocabulary.trouble.map((signal) => unnumbered(signal, 'trouble')),
    unnumbered('test-mode', 'mode'),
  ];
}

const unnumbered = (signal: ContactName, kind: LineKind): Line => ({
  signal,
  kind,
  point: undefined,
  published: true,
  hold: undefined,
  releases: false,
  zone: undefined,
});
