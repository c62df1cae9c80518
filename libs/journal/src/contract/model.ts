import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { OpenJournal } from '../contract.ts';
import type { Append, ExpectedRevision } from '../journal.ts';
import { streamName, streamPrefix } from '../names.ts';
import { append, at, collect, event, idOf, opened } from './material.ts';

/** Property runs share one journal and take an account each. */
const runs = 60;

interface ModelAppend {
  readonly riser: number;
  readonly names: readonly number[];
  readonly expected: 'any' | 'no-stream' | number;
}

/** The journal as the port describes it, in arrays of names. */
class Model {
  readonly all: (readonly [riser: number, name: number])[] = [];
  readonly #streams = new Map<number, number[]>();

  append({ riser, names, expected }: ModelAppend): object {
    const stream = this.#streams.get(riser) ?? [];
    this.#streams.set(riser, stream);
    const isFresh = names.map((name, index) => !stream.includes(name) && names.indexOf(name) === index);
    const actual = stream.length - 1;
    const believed = expected === 'any' ? actual : expected === 'no-stream' ? -1 : expected;
    const holds = believed <= actual && stream.slice(believed + 1).every((name) => names.includes(name));
    if (isFresh.includes(true) && !holds)
      return { ok: false, failure: { type: 'wrong-expected-revision', actual: actual < 0 ? 'no-stream' : at(actual) } };
    const fresh = names.filter((_, index) => isFresh[index]);
    stream.push(...fresh);
    this.all.push(...fresh.map((name) => [riser, name] as const));
    return { ok: true, value: { revision: at(stream.length - 1), fresh: isFresh } };
  }

  streams(): readonly (readonly [number, readonly number[]])[] {
    return [...this.#streams];
  }
}

export function describeModel(open: OpenJournal): void {
  describe('against a model', () => {
    it('answers any sequence of appends and keeps the same streams in the same order', async () => {
      const { journal } = await opened(open);
      let run = 0;

      await fc.assert(
        fc.asyncProperty(commits, async (given) => {
          run += 1;
          const model = new Model();
          const account = `run-${run}`;
          for (const commit of given) {
            const results = await journal.appendAll(commit.map((one) => appendOf(account, one)));
            expect(results).toMatchObject(commit.map((one) => model.append(one)));
          }
          const all = await collect(journal.readAll({ prefixes: [streamPrefix('model', account)] }));
          expect(all.map(({ stream, id }) => [stream, id])).toEqual(
            model.all.map(([riser, name]) => [streamName('model', account, String(riser)), idOf(name)]),
          );
          for (const [riser, names] of model.streams()) {
            const stream = await collect(journal.readStream(streamName('model', account, String(riser))));
            expect(stream.map(({ id, revision }) => [id, revision])).toEqual(
              names.map((name, index) => [idOf(name), at(index)]),
            );
          }
        }),
        { numRuns: runs },
      );

      expect(await journal.verify()).toMatchObject({ ok: true });
    });
  });
}

const appends = fc.record({
  riser: fc.nat(2),
  names: fc.array(fc.nat(11), { minLength: 1, maxLength: 4 }),
  expected: fc.oneof(fc.constantFrom('any', 'no-stream'), fc.nat(8)),
});
const commits = fc.array(fc.array(appends, { maxLength: 4 }), { maxLength: 8 });

const appendOf = (account: string, { riser, names, expected }: ModelAppend): Append => {
  const believed: ExpectedRevision = typeof expected === 'number' ? at(expected) : expected;
  return { ...append(streamName('model', account, String(riser)), [], believed), events: names.map(event) };
};
