import { onTestFinished } from 'vitest';
import { canonicalJson, instant, seededRandom } from '@tidemark/kernel';
import { describeJournal } from '@tidemark/journal/contract';
import { KurrentDbJournal } from '@tidemark/journal-kurrentdb';
import { DoubleCluster } from '../support/kurrentdb-double/double-cluster.ts';

/** A clock that moves by a second with each look. */
function tickingClock(): () => ReturnType<typeof instant> {
  let now = 1_772_439_247_120;
  return () => instant((now += 1_000));
}

describeJournal('KurrentDbJournal against a protocol double', async () => {
  const double = await DoubleCluster.start();
  onTestFinished(() => double.stop());
  const clock = tickingClock();
  const open = (): KurrentDbJournal => KurrentDbJournal.open({ url: double.url, clock, random: seededRandom(1) });
  return {
    journal: open(),
    reopen: () => Promise.resolve(open()),
    tamper: ({ position }, data) => {
      double.log.tamper(position, canonicalJson(data));
      return Promise.resolve();
    },
  };
});
