import { describe, expect, it } from 'vitest';
import { waterlineOf } from '../src/reading/waterline.ts';
import { active, inService, position, step } from './stories.ts';

const unseen = { supply: 'unseen', seat: 'unseen', outlet: 'unseen', piping: 'unseen' };

describe('the waterline of a riser', () => {
  it('stands at the seat while the riser is in service', () => {
    expect(waterlineOf(inService())).toEqual({ supply: 'water', seat: 'shut', outlet: 'empty', piping: 'empty' });
  });

  it('reaches the piping while water flows through an open seat', () => {
    const positions = [position('supply-valve', 'open'), position('clapper', 'open')];

    expect(waterlineOf(inService({ phase: 'flowing', points: [active('waterflow')], positions }))).toEqual({
      supply: 'water',
      seat: 'open',
      outlet: 'water',
      piping: 'water',
    });
  });

  it('does not claim water behind a seat that is not known to be open', () => {
    const positions = [position('supply-valve', 'open'), position('clapper', 'open', 0.5)];

    expect(waterlineOf(inService({ phase: 'flowing', points: [active('waterflow')], positions }))).toEqual({
      supply: 'water',
      seat: 'unseen',
      outlet: 'unseen',
      piping: 'unseen',
    });
  });

  it('does not claim an empty pipe after water went through, until the drained low points are proven', () => {
    const drained = inService({ phase: 'drained', restoration: [step({ status: 'cannot-be-seen' })] });
    const proven = inService({ phase: 'drained', restoration: [step({ status: 'proven' })] });

    expect([waterlineOf(drained).outlet, waterlineOf(drained).piping]).toEqual(['unseen', 'unseen']);
    expect([waterlineOf(proven).outlet, waterlineOf(proven).piping]).toEqual(['empty', 'empty']);
  });

  it.each(['not fully open', 'not fully open, probably shut', 'unknown'])(
    'does not claim water below the seat with the supply valve %s',
    (words) => {
      const positions = [position('supply-valve', words), position('clapper', 'shut')];

      expect(waterlineOf(inService({ positions })).supply).toBe('unseen');
    },
  );

  it('does not claim water below the seat while supply pressure is reported low', () => {
    expect(waterlineOf(inService({ points: [active('supply-pressure-low')] })).supply).toBe('unseen');
  });

  it.each(['stale', 'down'] as const)('is unseen altogether once the link is %s', (state) => {
    const link = { state, since: undefined, lastHeardAt: undefined, clockOffset_ms: undefined };

    expect(waterlineOf(inService({ link }))).toEqual(unseen);
  });

  it('is unseen altogether on a riser that was never heard', () => {
    expect(waterlineOf(inService({ phase: 'unknown' }))).toEqual(unseen);
  });
});
