import { describe, expect, it } from 'vitest';
import { freePort, startMosquitto } from '../support/mosquitto.ts';
import { runStorm } from '../support/storm.ts';
import type { Aftermath, Storm } from '../support/storm.ts';

const kills = 8;
const patience_ms = 180_000;

async function storm(door: Storm['door'], variant: Storm['variant'], seed: number): Promise<Aftermath> {
  if (door === 'embedded') return runStorm({ door, port: await freePort(), variant, kills, seed });
  const mosquitto = await startMosquitto();
  try {
    return await runStorm({ door, port: mosquitto.port, variant, kills, seed });
  } finally {
    await mosquitto.dispose();
  }
}

describe.each(['embedded', 'external'] as const)('the %s door, its process killed in the middle of a storm', (door) => {
  it('keeps every acknowledged signal once, in a journal that verifies', { timeout: patience_ms }, async () => {
    const { acknowledged, lost, doubled, verified } = await storm(door, 'real', 20_260_302);

    expect({ lost, doubled, verifies: verified.ok }).toEqual({ lost: [], doubled: [], verifies: true });
    // Each kill waits for 50 more at least, so the storm was one.
    expect(acknowledged).toBeGreaterThan(kills * 50);
  });

  it(
    'is caught by this very check when it acknowledges first and commits later',
    { timeout: patience_ms },
    async () => {
      const { lost } = await storm(door, 'canary', 20_260_302);

      expect(lost).not.toEqual([]);
    },
  );
});
