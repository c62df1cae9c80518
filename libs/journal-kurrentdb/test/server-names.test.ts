import { describe, expect, it } from 'vitest';
import { InvariantViolated } from '@tidemark/kernel';
import { streamName, streamPrefix } from '@tidemark/journal';
import { ServerNames } from '../src/server-names.ts';

const names = new ServerNames('tidemark');
const deluge1 = streamName('riser', 'quayside-cold-store', 'deluge-1');

describe('the names on the server', () => {
  it('give back the stream they were made of', () => {
    expect(names.stream(deluge1)).toBe('tidemark/riser/quayside-cold-store/deluge-1');
    expect(names.parse(names.stream(deluge1))).toBe(deluge1);
  });

  it.each([
    'riser/x',
    'tidemark',
    'tidemark/',
    'tidemark/Riser',
    'tidemark/$all',
    '$$tidemark/riser',
    'tidemark2/riser',
  ])('do not take %s for a stream of the journal', (text) => {
    expect(names.parse(text)).toBeUndefined();
  });

  it('keep checkpoints where no prefix of the journal reaches, whatever they are called', () => {
    for (const name of ['twin', '/riser', 'riser/x', '']) {
      const checkpoint = names.checkpoint(name);
      expect(names.parse(checkpoint)).toBeUndefined();
      for (const prefix of names.prefixes(undefined)) expect(checkpoint.startsWith(prefix)).toBe(false);
    }
  });

  it('turn prefixes into those of the server, none given into all, and an empty list into what no stream has', () => {
    expect(names.prefixes([streamPrefix('riser'), streamPrefix('finding', 'quayside')])).toEqual([
      'tidemark/riser/',
      'tidemark/finding/quayside/',
    ]);
    expect(names.prefixes(undefined)).toEqual(['tidemark/']);
    expect(names.prefixes([])).toEqual(['tidemark/#']);
  });

  it.each(['', 'Tidemark', 'tide-mark', 'tide/mark', '$all', 'x'.repeat(41)])(
    'are not made in a namespace %j',
    (text) => {
      expect(() => new ServerNames(text)).toThrow(InvariantViolated);
    },
  );
});
