import { Gate, GateFull, gateLimit, Intake } from '@tidemark/ingest';
import { MemoryJournal } from '@tidemark/journal';
import { instant, seededRandom } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';

function gate(): { gate: Gate; intake: Intake } {
  const intake = new Intake({
    journal: new MemoryJournal(),
    now: () => instant(0),
    random: seededRandom(1),
    prefix: 'risers/v1',
    installed: () => undefined,
  });
  return { gate: new Gate(intake), intake };
}

const arrival = (payload: Uint8Array) => ({ topic: 'x', payload, receivedAt: instant(0), omitted_bytes: 0 });

describe('the gate', () => {
  it('makes one commit of what comes in one turn', async () => {
    const { gate: open, intake } = gate();
    await Promise.all(Array.from({ length: 500 }, () => open.admit(arrival(new Uint8Array(1)))));
    let commits = 0;
    intake.flow.subscribe((flow) => (commits = flow.commits));

    expect(commits).toBe(1);
  });

  it('refuses what comes when as much as it may hold is waiting, and takes it later', async () => {
    const { gate: open } = gate();
    const waiting = Array.from({ length: gateLimit.messages }, () => open.admit(arrival(new Uint8Array(0))));

    await expect(open.admit(arrival(new Uint8Array(0)))).rejects.toBeInstanceOf(GateFull);
    await Promise.all(waiting);

    expect(await open.admit(arrival(new Uint8Array(0)))).toEqual({ type: 'rejected', reason: 'foreign-topic' });
  });

  it('refuses by bytes, too', async () => {
    const { gate: open } = gate();
    const large = new Uint8Array(gateLimit.bytes / 4);
    const waiting = Array.from({ length: 4 }, () => open.admit(arrival(large)));

    await expect(open.admit(arrival(new Uint8Array(1)))).rejects.toBeInstanceOf(GateFull);
    await Promise.all(waiting);
  });

  it('answers with the fault when the intake is closed', async () => {
    const { gate: open, intake } = gate();
    intake.close();

    await expect(open.admit(arrival(new Uint8Array(1)))).rejects.toMatchObject({ code: 'intake-closed' });
  });
});
