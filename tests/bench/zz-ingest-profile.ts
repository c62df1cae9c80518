import { Intake } from '@tidemark/ingest';
import { MemoryJournal } from '@tidemark/journal';
import { SqliteJournal } from '@tidemark/journal-sqlite';
import { seededRandom } from '@tidemark/kernel';
import { decode } from '@tidemark/signals';
import { rmSync } from 'node:fs';
import { installed, signalTopic, systemClock, waterflow } from '/work/main/tests/support/ingest-fixtures.ts';
rmSync('/tmp/prof.sqlite', { force: true }); rmSync('/tmp/prof.sqlite-wal', { force: true }); rmSync('/tmp/prof.sqlite-shm', { force: true }); rmSync('/tmp/prof.sqlite.lock', { force: true });
const which = process.argv[2];
const journal = which === 'memory' ? new MemoryJournal() : which === 'null' ? { appendAll: async (a: any) => a.map((x: any) => ({ ok: true, value: { fresh: x.events.map(() => true) } })) } as any : SqliteJournal.open({ path: '/tmp/prof.sqlite', clock: systemClock });
const intake = new Intake({ journal, now: systemClock, random: seededRandom(1), prefix: 'risers/v1', installed });
let id = 0;
const N = 40;
const cpu0 = process.cpuUsage();
const t0 = performance.now();
for (let g = 0; g < N; g++) {
  const arrivals = Array.from({ length: 1000 }, () => ({ topic: signalTopic, payload: Buffer.from(waterflow(`x-${id++}`)), receivedAt: systemClock(), omitted_bytes: 0 }));
  if (which === 'decode') for (const a of arrivals) decode(a, { prefix: 'risers/v1', installed });
  else await intake.admit(arrivals);
}
const cpu = process.cpuUsage(cpu0);
console.log(which, 'wall us/signal', ((performance.now() - t0) * 1000 / (N * 1000)).toFixed(1), 'cpu us/signal', ((cpu.user + cpu.system) / (N * 1000)).toFixed(1));
process.exit(0);
