import { deserialize, serialize } from 'node:v8';
import type { StateCodec } from './snapshots.ts';

/**
 * States as the bytes of the structured clone algorithm. Unlike JSON it keeps maps, sets, big integers and members that
 * are `undefined`, and writes what a state holds in several places once: a riser's state holds dozens of versions of
 * its picture that share nearly all of their parts. The format belongs to the engine, which is why a snapshot's
 * version should name it (`process.versions.v8`), and why nothing but a cache is kept in it. What is read back is
 * believed, so the bytes must come from a place that is as safe as the journal.
 */
export const structuredCodec = <State>(): StateCodec<State> => ({
  encode: (state) => serialize(state),
  decode: (bytes) => deserialize(bytes) as State,
});
