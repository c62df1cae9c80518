import { describeMistake } from '@tidemark/riser';
import { parseScenario } from '../src/index.ts';
import type { HeardScenario } from '../src/index.ts';

/** A short story in YAML; `heard` and `expect` are lines of it. */
export const story = ({ heard, expect = ['findings: []', 'ends: in-service'], panel = '' }: Parts): string =>
  [
    'claim: A riser is heard',
    'riser: deluge-1.riser.yaml',
    'begin: 2026-03-02T08:00:00Z',
    'given:',
    ...(panel === '' ? [] : [`  panel: ${panel}`]),
    '  heard:',
    ...heard.map((line) => `    - ${line}`),
    'until: +5m',
    'expect:',
    ...expect.map((line) => `  ${line}`),
    '',
  ].join('\n');

interface Parts {
  readonly heard: readonly string[];
  readonly expect?: readonly string[];
  readonly panel?: string;
}

/** Reads a story that has no mistake. */
export function readStory(parts: Parts): HeardScenario {
  const scenario = parseScenario(story(parts), 'story.yaml');
  if (!scenario.ok) throw new Error(scenario.failure.map(describeMistake).join('\n'));
  if (!('heard' in scenario.value)) throw new Error('the story is told by what was heard');
  return scenario.value;
}

/** The mistakes in a story, as a person reads them. */
export function mistakesIn(text: string): readonly string[] {
  const scenario = parseScenario(text, 'story.yaml');
  return scenario.ok ? [] : scenario.failure.map(describeMistake);
}
