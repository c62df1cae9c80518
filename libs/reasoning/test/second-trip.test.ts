import { describe, expect, it } from 'vitest';
import { active, command, profileWith, reset, restored, tellStory, trip } from './story.ts';

const profile = profileWith();

describe('a second trip', () => {
  it('after a reset that came too early is water with no release, once the reopened valve is reported open', () => {
    const told = tellStory(
      profile,
      [
        ...trip(0),
        active(600, 'supply-valve'),
        restored(650, 'manual-pull'),
        reset(700),
        restored(700.1, 'solenoid'),
        restored(760, 'waterflow'),
        active(1_000, 'waterflow'),
        restored(1_030, 'supply-valve'),
      ],
      1_100,
    );

    expect(told.standing).toContain('flow-without-release');
  });
});

describe('priming pressure that comes and goes while the release stands', () => {
  it('belongs to the release, and warns of no trip when that is reset', () => {
    const told = tellStory(
      profile,
      [
        ...trip(0),
        restored(100, 'prime-pressure-low'),
        active(130, 'prime-pressure-low'),
        active(600, 'supply-valve'),
        restored(700, 'waterflow'),
        restored(800, 'manual-pull'),
        reset(900),
        restored(900.1, 'solenoid'),
        restored(905, 'prime-pressure-low'),
      ],
      1_000,
    );

    expect(told.raised).not.toContain('prime-low-before-trip');
  });
});

describe('a riser that goes quiet with its supply valve closed', () => {
  it('is told after any reset, an early one too', () => {
    const told = tellStory(profile, [...trip(0), active(600, 'supply-valve'), reset(700)], 9_000);

    expect(told.raised).toContain('supervisory-not-restored');
  });
});

describe('swapped points', () => {
  it('are found in an announced trip test: it is where they are looked for', () => {
    const told = tellStory(
      profile,
      [
        command(0, { command: 'test-begin', forSeconds: 7_200, expect: ['manual-pull', 'waterflow'] }),
        active(60, 'manual-pull'),
        active(60.1, 'solenoid'),
        active(60.2, 'waterflow'),
        active(60.7, 'prime-pressure-low'),
        active(600, 'supply-valve'),
        restored(660, 'prime-pressure-low'),
        restored(800, 'manual-pull'),
        reset(900),
        restored(900.1, 'solenoid'),
        restored(900.4, 'waterflow'),
      ],
      1_000,
    );

    expect(told.raised).toContain('points-swapped');
  });
});
