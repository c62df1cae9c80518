import { instant } from '@tidemark/kernel';
import { parseProfile } from '@tidemark/riser';
import type { Profile } from '@tidemark/riser';
import type { Heard, Story, StoryStep } from '../../src/index.ts';

/** The short profile of CONTRACT 3, with more lines where a test needs them. */
export function profileWith(...lines: readonly string[]): Profile {
  const text = [
    'account: quayside-cold-store',
    'riser: deluge-1',
    'site: { name: Quayside cold store, timeZone: Europe/Oslo }',
    'release: electric',
    'points:',
    '  - { point: 1, signal: manual-pull }',
    '  - { point: 2, signal: heat }',
    '  - { point: 3, signal: waterflow }',
    '  - { point: 4, signal: supply-valve }',
    '  - { point: 5, signal: prime-pressure-low }',
    '  - { point: 6, signal: solenoid }',
    '  - { point: 7, signal: release-disconnect }',
    ...lines,
  ].join('\n');
  const profile = parseProfile(text, 'deluge-1.riser.yaml');
  if (!profile.ok) throw new Error(JSON.stringify(profile.failure));
  return profile.value;
}

export const at = (at_s: number, deed: StoryStep['deed']): StoryStep => ({ due: { at_s }, deed });
export const later = (after_s: number, deed: StoryStep['deed']): StoryStep => ({ due: { after_s }, deed });
export const pull = (state: 'active' | 'restored'): StoryStep['deed'] => ({ act: 'device', point: 1, state });
export const reset: StoryStep['deed'] = { act: 'button', button: 'reset' };
export const turn = (
  valve: 'supply' | 'system-drain' | 'alarm-test',
  to: number,
  over_s?: number,
): StoryStep['deed'] => (over_s === undefined ? { act: 'valve', valve, to } : { act: 'valve', valve, to, over_s });

/** A trip and its restoration by the book. */
export const trip: readonly StoryStep[] = [
  at(300, pull('active')),
  at(500, turn('supply', 0, 15)),
  at(515, turn('system-drain', 1)),
  { due: { awaits: { signal: 'waterflow', said: 'restored' }, wait_s: 60 }, deed: pull('restored') },
  later(30, reset),
  { due: { awaits: { sees: 'priming-up' }, wait_s: 20 }, deed: turn('system-drain', 0) },
  later(10, turn('supply', 1, 75)),
  { due: { awaits: { signal: 'supply-valve', said: 'restored' }, wait_s: 30 }, deed: reset },
];

/** A story of the default riser. */
export const storyOf = (steps: readonly StoryStep[], more: Partial<Story> = {}): Story => ({
  profile: profileWith(),
  begin: instant(Date.parse('2026-03-02T08:00:00Z')),
  length_s: 1_800,
  link: { latency: { base_s: 0.2, spread_s: 0 } },
  steps: [steps],
  ...more,
});

/** What was heard, in short: `waterflow+`, `waterflow-`, `reset!`, `link up`, `test-begin`. */
export const shortly = (heard: readonly Heard[]): readonly string[] =>
  heard.map((each) => {
    if (each.topic === 'command') return each.command.command;
    if (each.topic === 'link') return `link ${each.message.link}`;
    const { data } = each.event;
    if (!('state' in data)) return data.signal;
    return `${data.signal}${{ active: '+', restored: '-', performed: '!' }[data.state]}`;
  });
