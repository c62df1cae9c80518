import { describe, expect, it } from 'vitest';
import { toldLines } from '@tidemark/scenario';
import { stories } from '../support/stories.ts';
import type { Story } from '../support/stories.ts';
import { heardStory } from './oracle/heard-story.ts';
import { judge } from './oracle/oracle.ts';
import type { Judgement } from './oracle/oracle.ts';

const judged = ({ profile, scenario }: Story): Judgement =>
  judge(
    heardStory({
      profile,
      lines: toldLines(scenario, profile).map(({ json }) => JSON.stringify(json)),
      until: scenario.until,
    }),
  );

/** How the oracle's reading differs from the expectation that was derived by hand from the contract. */
function disagreements(story: Story): readonly string[] {
  const { may, meets } = judged(story);
  const { begin, expect: expected } = story.scenario;
  const unexpected = meets.filter(({ code }) => !expected.findings.some((each) => each.code === code));
  const unmet = expected.findings.flatMap(({ code, raised }) => {
    const met = meets.find((each) => each.code === code);
    if (met === undefined) return may.includes(code) ? [`${code} is left open`] : [`${code} is not met`];
    const [from_ms, to_ms] = [met.from - begin, met.to - begin];
    return from_ms <= raised.to_ms && to_ms >= raised.from_ms ? [] : [`${code} is met from ${from_ms} to ${to_ms} ms`];
  });
  return [...unexpected.map(({ code, from }) => `${code} is met, unexpected, at ${from - begin} ms`), ...unmet];
}

describe('the oracle, on the recorded stories', () => {
  it.each(stories())('reads the contract as by hand: $scenario.claim', (story) => {
    expect(disagreements(story)).toEqual([]);
  });
});
