import { describe, expect, it, onTestFinished } from 'vitest';
import type { Random } from '@tidemark/kernel';
import { seededRandom } from '@tidemark/kernel';
import { streamName } from '@tidemark/journal';
import type { KurrentDbJournal } from '@tidemark/journal-kurrentdb';
import { DoubleCluster } from '../support/kurrentdb-double/double-cluster.ts';
import {
  append,
  collect,
  follow,
  impatient,
  namesOf,
  openJournal,
  taken,
  tickingClock,
  upTo,
} from '../support/kurrentdb-material.ts';
import { until } from '../support/until.ts';

/** `TIDEMARK_STORMS=20` tells more storms than the one of every run; a storm that fails is told again by its seed. */
const storms = Number(process.env['TIDEMARK_STORMS'] ?? 1);
const faults = 14;
const perRiser = 100;
const risers = upTo(6).map((number) => streamName('riser', 'quayside-cold-store', `deluge-${number}`));

/** Everything the double can do to the adapter, one at a time, in any order. */
const troubles: readonly ((double: DoubleCluster, random: Random) => Promise<void> | void)[] = [
  (double) => double.leader.door.cut(),
  (double) => void double.moveLeader(),
  (double, random) => double.faults.put('cut-after-commit', random.between(1, 3)),
  (double, random) => double.faults.put('hold-answer', random.between(1, 2)),
  (double) => double.faults.put('hold-read'),
  (double, random) => double.faults.refuseAppends('Timeout', random.between(1, 3)),
  (double) => double.leader.dropSubscriptions('with-error'),
  (double) => double.leader.dropSubscriptions('quietly'),
  (double) => double.leader.dropSubscriptions('in-silence'),
  async (double, random) => {
    const dead = double.leader;
    await dead.die();
    await asked(double, random.between(1, 4));
    double.moveLeader();
    await asked(double, random.between(1, 20));
    await dead.rise();
  },
  async (double, random) => {
    double.isElecting = true;
    await asked(double, random.between(1, 6));
    double.isElecting = false;
  },
  async (double, random) => {
    const { door } = double.leader;
    door.silence();
    double.moveLeader();
    await asked(double, random.between(1, 10));
    door.speak();
  },
];

/** Waits until the nodes were asked this many times more. */
async function asked(double: DoubleCluster, times: number): Promise<void> {
  const total = (): number => double.counts.appends + double.counts.reads + double.counts.gossip;
  const before = total();
  await until('the nodes are asked', () => total() >= before + times);
}

/** A station that records what the panels of all risers say, in order, some at a time. */
async function record(station: KurrentDbJournal, name: string, random: Random): Promise<void> {
  await Promise.all(
    risers.map(async (riser) => {
      for (let number = 0; number < perRiser;) {
        const count = random.between(1, 6);
        const names = upTo(Math.min(count, perRiser - number)).map((offset) => number + offset);
        taken(
          await station.append(
            append(
              riser,
              names.map((each) => `${riser}-${each}`),
            ),
          ),
        );
        number += names.length;
      }
      taken(await station.append(append(riser, [`${riser}-${name}`])));
    }),
  );
}

describe.each(upTo(storms).map((storm) => 20_261_125 + storm))(
  'in the storm of seed %i, before a double of three nodes,',
  (seed) => {
    it('two stations that record the same have each event once, in order, chained, and delivered once', async () => {
      const double = await DoubleCluster.start({ nodes: 3 });
      onTestFinished(() => double.stop());
      const random = seededRandom(seed);
      const open = (start_ms: number): KurrentDbJournal =>
        openJournal({
          url: double.url,
          namespace: 'storm',
          clock: tickingClock(start_ms),
          random: random.fork(String(start_ms)),
          patience: { ...impatient, attempts: 200, conflicts: 1_000 },
        });
      const [north, south] = [open(1_772_000_000_000), open(1_773_000_000_000)];
      const watching = [follow(north), follow(south)];

      const recording = Promise.all([
        record(north, 'north', random.fork('n')),
        record(south, 'south', random.fork('s')),
      ]);
      const total = risers.length * (perRiser + 2);
      const size = (): number => double.log.events.filter(({ stream }) => stream.startsWith('storm/')).length;
      for (const fault of upTo(faults)) {
        await until(`fault ${fault}: something is recorded`, () => size() > (total * fault) / (faults + 2), 60_000);
        await troubles[random.between(0, troubles.length - 1)]?.(double, random);
      }
      await recording;

      const all = await collect(north.readAll());
      expect(all).toHaveLength(total);
      expect(await south.verify()).toEqual({ ok: true, value: { events: total, streams: risers.length } });
      for (const riser of risers) {
        const names = namesOf(all.filter(({ stream }) => stream === riser));
        expect(names.filter((name) => !/(north|south)$/.test(String(name)))).toEqual(
          upTo(perRiser).map((number) => `${riser}-${number}`),
        );
      }
      for (const { names } of watching) {
        await until('everything is delivered', () => names.length >= total);
        expect(names).toEqual(namesOf(all));
      }
    }, 180_000);
  },
);
