import { instant, quantity, unitsOf } from '@tidemark/kernel';
import type { Signal, SignalContent } from '@tidemark/signals';
import { actNames, contactNames, vocabulary } from '@tidemark/signals';
import fc from 'fast-check';

/** The riser all tests of this package speak of. */
export const key = { account: 'quayside-cold-store', riser: 'deluge-1' } as const;

const readingIn = (name: (typeof vocabulary.reading)[number], unit: string, value: number): SignalContent => {
  const measured = quantity(value, unit);
  if (!measured.ok) throw new Error(`the kernel does not know ${unit}`);
  return { kind: 'reading', name, si: measured.value.si, value, unit };
};

const reading = fc.constantFrom(...vocabulary.reading).chain((name) =>
  fc
    .tuple(
      fc.constantFrom(...unitsOf(name === 'flow' ? 'flow' : 'pressure')),
      fc.double({ min: -1e9, max: 1e9, noNaN: true }).map((value) => (value === 0 ? 0 : value)),
    )
    .map(([unit, value]) => readingIn(name, unit, value)),
);

export const anyContent: fc.Arbitrary<SignalContent> = fc.oneof(
  fc.record({
    kind: fc.constant('contact' as const),
    name: fc.constantFrom(...contactNames),
    state: fc.constantFrom('active' as const, 'restored' as const),
  }),
  fc.record({ kind: fc.constant('act' as const), name: fc.constantFrom(...actNames) }),
  fc.constant({ kind: 'periodic-test', name: 'periodic-test' } as const),
  reading,
);

const optional = <T>(values: fc.Arbitrary<T>): fc.Arbitrary<T | undefined> => fc.option(values, { nil: undefined });

const isControl = (text: string): boolean => /[\u0000-\u001f\u007f-\u009f]/.test(text);

/** Years 0001 to 9999, which is what RFC 3339 can write. */
const anyInstant = fc.integer({ min: -62_135_596_800_000, max: 253_402_300_799_999 }).map(instant);

/** Every signal that can be sent as a CloudEvent for `key`. */
export const anySignal: fc.Arbitrary<Signal> = fc.record({
  key: fc.constant(key),
  source: fc
    .webPath()
    .filter((path) => path.length < 900)
    .map((path) => `/${key.account}/panel-2${path}`),
  id: fc.string({ unit: 'grapheme', minLength: 1, maxLength: 100 }).filter((text) => !isControl(text)),
  observedAt: optional(anyInstant),
  sequence: optional(fc.bigInt({ min: 0n, max: 10n ** 40n - 1n })),
  point: optional(fc.integer({ min: 0, max: 65_535 })),
  text: optional(fc.string({ unit: 'binary', maxLength: 200 }).filter((text) => Array.from(text).length <= 200)),
  content: anyContent,
  form: fc.constant('cloudevent' as const),
});
