import { parseStreamName, streamPrefix } from '@tidemark/journal';
import type { StreamName } from '@tidemark/journal';
import { invariant } from '@tidemark/kernel';
import { initialTwin, step } from '@tidemark/reasoning';
import type { Output, Twin } from '@tidemark/reasoning';
import { decodeRiserEvent } from '@tidemark/riser';
import type { RiserEvent } from '@tidemark/riser';
import type { Change, Fold, ProjectionHost } from '@tidemark/runtime';
import type { RiserKey } from '@tidemark/signals';

/** Which riser, as `account/riser`: what follows the prefix in the names of its streams. */
export type RiserName = string;

/** One event of a riser folded into its twin. */
export type TwinChange = Change<Twin, RiserEvent, Output>;

/** Every riser's twin, folded from the journal. */
export type TwinHost = ProjectionHost<Twin, RiserEvent, Output>;

/** How a riser's stream becomes its twin: the same functions that replay a file. A riser begins with its profile. */
export const riserFold: Fold<Twin, RiserEvent, Output> = {
  prefix: streamPrefix('riser'),
  decode: decodeRiserEvent,
  initial: (event) => (event.type === 'profile-installed' ? initialTwin(event.profile, event.receivedAt) : undefined),
  step: (before, event) => {
    const { twin, outputs } = step(before, event);
    return { state: twin, outputs };
  },
};

/** The stream of what happened to a riser, or of what was found about it. */
export function streamOf(kind: 'riser' | 'finding', riser: RiserName): StreamName {
  const name = parseStreamName(`${kind}/${riser}`);
  invariant(name.ok, 'a riser is named by two segments of a stream name');
  return name.value;
}

/** `account/riser`. */
export const nameOf = ({ account, riser }: RiserKey): RiserName => `${account}/${riser}`;

/** The two names that `nameOf` joined. */
export function keyOf(name: RiserName): RiserKey {
  const [account, riser] = name.split('/');
  invariant(account !== undefined && riser !== undefined, 'a riser is named account/riser');
  return { account, riser };
}
