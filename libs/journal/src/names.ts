import type { Result } from '@tidemark/kernel';
import { fail, invariant, ok } from '@tidemark/kernel';
import type { StreamName, StreamPrefix } from './journal.ts';

/** The longest stream name, `/` included. A choice of this project; every store we know takes it. */
export const streamNameLimit_characters = 200;

const segment = /^[a-z0-9.-]+$/;
const name = /^[a-z0-9.-]+(?:\/[a-z0-9.-]+)*$/;
const prefix = /^(?:[a-z0-9.-]+\/)+$/;

/** Reads a stream's name: segments of `a-z`, `0-9`, `.` and `-` parted by `/`, at most `streamNameLimit_characters` long. */
export const parseStreamName = (text: string): Result<StreamName, 'malformed-stream-name'> =>
  text.length <= streamNameLimit_characters && name.test(text) ? ok(text as StreamName) : fail('malformed-stream-name');

/** Joins segments that are known to be well formed: `streamName('riser', account, riser)`. A malformed one is a bug. */
export function streamName(...segments: readonly string[]): StreamName {
  const joined = parseStreamName(segments.join('/'));
  invariant(joined.ok && segments.every((text) => segment.test(text)), 'a stream name is made of well-formed segments');
  return joined.value;
}

/** Reads the beginning of stream names: one or more whole segments, each followed by `/`, as in `riser/`. */
export const parseStreamPrefix = (text: string): Result<StreamPrefix, 'malformed-stream-prefix'> =>
  text.length <= streamNameLimit_characters && prefix.test(text)
    ? ok(text as StreamPrefix)
    : fail('malformed-stream-prefix');

/** Joins well-formed segments into a prefix: `streamPrefix('riser', account)` is `riser/{account}/`. A malformed one is a bug. */
export const streamPrefix = (...segments: readonly string[]): StreamPrefix => {
  const joined = parseStreamPrefix(`${streamName(...segments)}/`);
  invariant(joined.ok, 'a stream prefix is shorter than the longest stream name');
  return joined.value;
};

/** Whether a stream is wanted by a reader: it begins with one of the prefixes, or there are none given. */
export const isWanted = (stream: StreamName, prefixes: readonly StreamPrefix[] | undefined): boolean =>
  prefixes === undefined || prefixes.some((beginning) => stream.startsWith(beginning));
