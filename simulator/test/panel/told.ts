import { parseProfile } from '@tidemark/riser';
import type { Profile } from '@tidemark/riser';
import { advancePanel, createPanel, operatePanel, panelSettings } from '../../src/index.ts';
import type { Panel, PanelChoices, PanelDefect, PanelInput, PanelOutput, PanelSettings } from '../../src/index.ts';

/** Something done to a panel, and when. */
export type Act = readonly [at_s: number, input: PanelInput];

/** Point numbers of the panel under test. */
export const at = {
  pull: 1,
  heat: 2,
  smoke: 3,
  waterflow: 4,
  supply: 5,
  prime: 6,
  solenoid: 7,
  disconnect: 8,
  gauge: 9,
} as const;

const points = `
  - { point: 1, signal: manual-pull }
  - { point: 2, signal: heat }
  - { point: 3, signal: smoke }
  - { point: 4, signal: waterflow }
  - { point: 5, signal: supply-valve }
  - { point: 6, signal: prime-pressure-low }
  - { point: 7, signal: solenoid }
  - { point: 8, signal: release-disconnect }
  - { point: 9, signal: prime-pressure }`;

/** A profile with a point of every kind, its panel programmed as said in the words of a profile. */
export function profileWith(panel = '{}'): Profile {
  const read = parseProfile(
    `account: quayside-cold-store
riser: deluge-1
site: { name: Quayside cold store, timeZone: Europe/Oslo }
release: electric
points:${points}
panel: ${panel}
`,
    'quayside.riser.yaml',
  );
  if (!read.ok) throw new Error(read.failure.map(({ expected }) => expected).join('; '));
  return read.value;
}

/** The programme of such a panel, without periodic tests unless asked for. */
export function programme(panel = '{}', choices: PanelChoices = {}): PanelSettings {
  return { ...panelSettings(profileWith(panel), choices), periodicTest_s: 1e9 };
}

/** The panel after some acts, and all it did. */
export function play(
  settings: PanelSettings,
  acts: readonly Act[],
  until_s: number,
): { readonly panel: Panel; readonly outputs: readonly PanelOutput[] } {
  const outputs: PanelOutput[] = [];
  let panel = createPanel(settings, 0);
  for (const [at_s, input] of acts.toSorted(([one], [other]) => one - other)) {
    const step = operatePanel(panel, at_s, input);
    outputs.push(...step.outputs);
    panel = step.panel;
  }
  const last = advancePanel(panel, until_s);
  return { panel: last.panel, outputs: [...outputs, ...last.outputs] };
}

/** What a panel published and did, a line each: `30.25 heat 2 active`, `30.3 solenoid on`. The first test is left out. */
export const told = (settings: PanelSettings, acts: readonly Act[], until_s: number): readonly string[] =>
  play(settings, acts, until_s)
    .outputs.map(spoken)
    .filter((line) => line !== '0 periodic-test active');

/** One output as a line. */
export function spoken(output: PanelOutput): string {
  const { at_s } = output;
  switch (output.type) {
    case 'signal': {
      const { data } = output;
      const point = data.point === undefined ? '' : ` ${String(data.point)}`;
      const said = 'state' in data ? data.state : `${String(data.value)} ${data.unit}`;
      return `${String(at_s)} ${data.signal}${point} ${said}`;
    }
    case 'solenoid':
      return `${String(at_s)} circuit ${output.energized ? 'energized' : 'at rest'}`;
    case 'notification':
      return `${String(at_s)} horns ${output.sounding ? 'on' : 'off'}`;
    case 'reset-refused':
      return `${String(at_s)} reset refused for ${output.points.join(', ')}`;
    case 'running':
      return `${String(at_s)} panel ${output.running ? 'up' : 'down'}`;
  }
}

/** The moments of lines that say exactly this after their time. */
export const moments = (lines: readonly string[], what: string): readonly number[] =>
  lines.filter((line) => line.slice(line.indexOf(' ') + 1) === what).map((line) => Number.parseFloat(line));

/** A device or switch at a point is made, or is back. */
export const made = (point: number): PanelInput => ({ type: 'contact', point, active: true });
export const back = (point: number): PanelInput => ({ type: 'contact', point, active: false });

export const reset: PanelInput = { type: 'button', button: 'reset' };
export const silence: PanelInput = { type: 'button', button: 'silence' };

/** The disconnect switch. */
export const disconnect = (on: boolean): PanelInput => ({ type: 'switch', switch: 'release-disconnect', on });

/** A source of power fails or is good. */
export const power = (source: 'ac' | 'battery', good: boolean): PanelInput => ({ type: 'power', source, good });

/** A circuit's wiring. */
export const wiring = (circuit: number | 'release', fault?: 'open' | 'short'): PanelInput => ({
  type: 'circuit',
  circuit,
  fault,
});

/** The panel gets a defect, or is rid of it. */
export const defect = (name: PanelDefect, on = true): PanelInput => ({ type: 'defect', defect: name, on });
