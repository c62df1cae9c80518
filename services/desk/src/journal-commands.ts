import type { CommandReceipt, RiserKey } from '@tidemark/api';
import type { EventId, Journal } from '@tidemark/journal';
import { deriveEventId, streamName } from '@tidemark/journal';
import type { Instant } from '@tidemark/kernel';
import { invariant } from '@tidemark/kernel';
import { encodeRiserEvent } from '@tidemark/riser';
import type { Commands, GivenCommand } from './ports.ts';

/** How far back a repeated command is looked for. A choice of this project: a lost answer is asked for within seconds. */
const receiptLookback_events = 500;

/** Commands that go straight into the riser's stream as `command-given`. The clock is the station's. */
export function journalCommands(journal: Journal, clock: () => Instant): Commands {
  return {
    async give(key, given) {
      const event = eventOf(key, given, clock());
      // `any` is right here: nobody else writes these ids, and a command holds whatever else was recorded meanwhile.
      const appended = await journal.append({ stream: streamOf(key), events: [event], expected: 'any' });
      invariant(appended.ok, 'a single command, whose size the contract bounds, is always appended');
      return receiptOf(event.id, appended.value.position.toString(), appended.value.fresh[0] ?? false);
    },

    async receipt(key, id) {
      const wanted = eventIdOf(key, id);
      const recent = journal.readStream(streamOf(key), { direction: 'backward', limit: receiptLookback_events });
      for await (const event of recent)
        if (event.id === wanted) return receiptOf(wanted, event.position.toString(), false);
      return undefined;
    },
  };
}

const streamOf = ({ account, riser }: RiserKey) => streamName('riser', account, riser);

const eventIdOf = ({ account, riser }: RiserKey, id: string): EventId =>
  deriveEventId(['desk-command', account, riser, id]);

function eventOf(key: RiserKey, { id, by, command }: GivenCommand, receivedAt: Instant) {
  const eventId = eventIdOf(key, id);
  return { id: eventId, ...encodeRiserEvent({ type: 'command-given', id: eventId, receivedAt, by, command }) };
}

const receiptOf = (eventId: EventId, position: string, fresh: boolean): CommandReceipt => ({
  eventId,
  position,
  fresh,
});
