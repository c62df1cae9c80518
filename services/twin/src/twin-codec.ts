import { restoreTwin, storeTwin } from '@tidemark/reasoning';
import type { StoredTwin, Twin } from '@tidemark/reasoning';
import { structuredCodec } from '@tidemark/runtime';
import type { StateCodec } from '@tidemark/runtime';

const stored = structuredCodec<StoredTwin>();

/** Twins as bytes and back, for snapshots. */
export const twinCodec: StateCodec<Twin> = {
  encode: (twin) => stored.encode(storeTwin(twin)),
  decode: (bytes) => restoreTwin(stored.decode(bytes)),
};
