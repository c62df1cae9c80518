import { instant } from '@tidemark/kernel';
import { canonicalJson } from '@tidemark/kernel';
import { MemoryJournal, MemoryRecords } from '@tidemark/journal';
import { describeJournal } from '@tidemark/journal/contract';

/** A clock that moves by a second with each look. */
function tickingClock(): () => ReturnType<typeof instant> {
  let now = 1_772_439_247_120;
  return () => instant((now += 1_000));
}

describeJournal('MemoryJournal', () => {
  const records = new MemoryRecords();
  const clock = tickingClock();
  return Promise.resolve({
    journal: new MemoryJournal({ clock, records }),
    reopen: () => Promise.resolve(new MemoryJournal({ clock, records })),
    tamper: ({ position }, data) => {
      const index = records.events.findIndex((event) => event.position === position);
      const event = records.events[index];
      if (event !== undefined) records.events[index] = { ...event, data: canonicalJson(data) };
      return Promise.resolve();
    },
  });
});
