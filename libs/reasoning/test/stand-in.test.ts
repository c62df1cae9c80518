import type { RiserEvent } from '@tidemark/riser';
import { describe, expect, it } from 'vitest';
import { active, command, periodicTest, profileWithout, profileWith, reset, restored, tellStory } from './story.ts';

const withoutSolenoid = profileWithout('solenoid');

describe('an alarm that stands for a release no point reports', () => {
  const trip: readonly RiserEvent[] = [
    active(60, 'manual-pull'),
    active(60.1, 'prime-pressure-low'),
    active(60.6, 'waterflow'),
    active(600, 'supply-valve'),
    restored(700, 'waterflow'),
    restored(900, 'manual-pull'),
  ];

  it('stands for it after the reset too: priming pressure that is still low then is no trip to come', () => {
    const told = tellStory(withoutSolenoid, [...trip, reset(1_000), restored(1_001, 'prime-pressure-low')], 1_100);

    expect(told.raised).toEqual([]);
  });

  it('ends with that reset: water that comes later has no release', () => {
    const told = tellStory(
      withoutSolenoid,
      [
        ...trip,
        reset(1_000),
        restored(1_001, 'prime-pressure-low'),
        restored(1_200, 'supply-valve'),
        active(1_300, 'waterflow'),
      ],
      1_400,
    );

    expect(told.raised).toEqual(['flow-without-release']);
  });

  it('stands for none while the release is disconnected, and for one once it is connected on it', () => {
    const disconnected = [
      active(10, 'release-disconnect'),
      command(5, { command: 'test-begin', forSeconds: 3_000, expect: ['manual-pull'] }),
    ];
    const tested = [...disconnected.toReversed(), active(60, 'manual-pull')];

    expect(tellStory(withoutSolenoid, tested, 400).raised).toEqual([]);
    expect(tellStory(withoutSolenoid, [...tested, restored(100, 'release-disconnect')], 400).raised).toContain(
      'release-without-flow',
    );
  });
});

describe('an announced trip test', () => {
  const test = command(0, { command: 'test-begin', forSeconds: 3_600, expect: ['manual-pull', 'waterflow'] });

  it('holds late water and a silent priming switch against the riser: it is where these are to be found', () => {
    const told = tellStory(
      profileWith(),
      [test, active(60, 'manual-pull'), active(60.1, 'solenoid'), active(66, 'waterflow')],
      200,
    );

    expect(told.raised.toSorted()).toEqual(['late-signal', 'silent-point']);
  });

  it('misses the valve supervisory when its water stops', () => {
    const told = tellStory(
      profileWith(),
      [
        test,
        active(60, 'manual-pull'),
        active(60.1, 'solenoid'),
        active(60.2, 'prime-pressure-low'),
        active(61, 'waterflow'),
        restored(400, 'waterflow'),
      ],
      600,
    );

    expect(told.raised).toEqual(['supervisory-missing']);
  });
});

describe('the sign of life', () => {
  it('is the receipt: a clock that stands a day behind is heard all the same', () => {
    const told = tellStory(
      profileWith(),
      [
        periodicTest(0),
        periodicTest(3_000),
        periodicTest(6_000, { observed: 6_000 - 86_400 }),
        periodicTest(9_000, { observed: 9_000 - 86_400 }),
      ],
      9_500,
    );

    expect(told.raised).not.toContain('stale-link');
  });
});
