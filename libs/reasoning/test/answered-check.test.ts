import { describe, expect, it } from 'vitest';
import { answersOf } from '../src/causes/answers.ts';
import { active, at, command, profileWith, tellStory } from './story.ts';

describe('an answered check', () => {
  it.each(answersOf('main-drain'))('tells the ranking anew, whatever it found: %s', (found) => {
    const told = tellStory(
      profileWith(),
      [
        active(0, 'supply-valve'),
        active(30, 'waterflow'),
        command(60, { command: 'check-answered', check: 'main-drain', found }),
      ],
      80,
    );

    const about = told.findings.filter(({ code }) => code === 'flow-with-supply-closed');
    const before = about.findLast(({ at: when }) => when < at(60));
    const after = about.find(({ at: when }) => when === at(60));
    expect(after?.causes).toBeDefined();
    expect(after?.causes).not.toEqual(before?.causes);
  });
});
