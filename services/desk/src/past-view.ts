import type { RiserKey } from '@tidemark/api';
import type { JournalReader, RecordedEvent } from '@tidemark/journal';
import { streamName } from '@tidemark/journal';
import type { Instant, Result } from '@tidemark/kernel';
import { fail, ok } from '@tidemark/kernel';
import type { RiserView, Twin } from '@tidemark/reasoning';
import { initialTwin, step, viewOf } from '@tidemark/reasoning';
import type { RiserEvent } from '@tidemark/riser';
import { decodeRiserEvent } from '@tidemark/riser';
import type { PastMoment } from './ports.ts';

/** A riser as it was, and the moment that is. */
export interface PastTwin {
  readonly twin: Twin;
  readonly at: Instant;
}

type Reader = Pick<JournalReader, 'readStream' | 'head'>;

/** Why a moment cannot be shown. */
type Unseen = 'unknown-riser' | 'moment-not-reached';

/**
 * The riser as it was, folded anew from its events by the functions that live runs too. What fell due by then, though
 * nothing was heard, is said as well. An event that this build does not understand is left out, as live leaves it out.
 */
export async function pastTwin(journal: Reader, key: RiserKey, moment: PastMoment): Promise<Result<PastTwin, Unseen>> {
  if (await isAhead(journal, moment)) return fail('moment-not-reached');
  let twin: Twin | undefined;
  let last: Instant | undefined;
  for await (const recorded of journal.readStream(streamName('riser', key.account, key.riser))) {
    const decoded = decodeRiserEvent(recorded);
    if (!decoded.ok) continue;
    const event = decoded.value;
    if (isAfter(recorded, event, moment)) break;
    last = event.receivedAt;
    twin = twin === undefined ? begun(event) : step(twin, event).twin;
  }
  if (twin === undefined || last === undefined) return fail('unknown-riser');
  const at = moment.type === 'time' ? moment.at : last;
  return ok({ twin: step(twin, { type: 'time-reached', id: 'asked-for', receivedAt: at }).twin, at });
}

/** The same as a person is shown it. */
export async function pastView(
  ...[journal, key, moment]: Parameters<typeof pastTwin>
): Promise<Result<RiserView, Unseen>> {
  const past = await pastTwin(journal, key, moment);
  return past.ok ? ok(viewOf(past.value.twin, past.value.at)) : past;
}

const begun = (event: RiserEvent): Twin | undefined =>
  event.type === 'profile-installed' ? step(initialTwin(event.profile, event.receivedAt), event).twin : undefined;

const isAfter = (recorded: RecordedEvent, event: RiserEvent, moment: PastMoment): boolean =>
  moment.type === 'position' ? recorded.position > moment.position : event.receivedAt > moment.at;

/** A position the journal has not reached names no moment; a time is only known to be over by its events. */
async function isAhead(journal: Pick<JournalReader, 'head'>, moment: PastMoment): Promise<boolean> {
  if (moment.type === 'time') return false;
  const head = await journal.head();
  return head === undefined || moment.position > head;
}
