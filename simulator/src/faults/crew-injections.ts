import type { Mistake } from '../crew/step.ts';
import type { FaultSize } from '../plant/fault-recipe.ts';
import type { Injected, Injection } from './injection.ts';
import { noted } from './notes.ts';
import type { Note } from './notes.ts';

/** Rows V10 to V12 and C4 to C6, and steps of a restoration that nobody does. Ranges are choices of this project. */
export const crewInjections = (): readonly Injection[] => [
  by('drains-not-opened', 'V10', () => [skip('open-system-drain'), skip('open-auxiliary-drain')]),
  {
    ...by('drains-opened-late', 'V11', (by_s) => [
      early('restore-device', 'open-system-drain'),
      early('reset', 'open-system-drain'),
      { mistake: 'too-late', step: 'open-system-drain', by_s },
    ]),
    size: lateness,
  },
  by('reset-before-drained', 'V12', () => [
    early('restore-device', 'open-system-drain'),
    early('reset', 'open-system-drain'),
  ]),
  {
    cause: 'release-left-disabled',
    ...noted('C4 forgotten'),
    where: 'crew',
    apply: () => ({ where: 'crew', procedure: 'devicesTest', mistakes: [skip('reconnect-release')] }),
  },
  by('panel-left-silenced', 'C5', () => [skip('reset'), skip('last-reset')]),
  by('reset-too-early', 'C6', () => [early('reset', 'restore-device')]),
  by('step-skipped', 'supply valve', () => [skip('open-supply-valve-slowly')]),
  {
    ...by('step-skipped', 'supply valve in part', (part) => [
      { mistake: 'half-do', step: 'open-supply-valve-slowly', part },
    ]),
    size: { what: 'of the way opened', unit: 'share', least: 0.1, usual: 0.5, most: 0.95 },
  },
  by('step-skipped', 'drains', () => [skip('close-system-drain'), skip('close-auxiliary-drain')]),
  by('step-skipped', 'device', () => [skip('restore-device')]),
  by('step-skipped', 'last reset', () => [skip('last-reset')]),
  by('step-skipped', 'supply proof', () => [
    skip('open-supply-drain'),
    skip('look-at-the-supply'),
    skip('close-supply-drain'),
  ]),
];

const lateness: FaultSize = { what: 'how long after the reset', unit: 's', least: 10, usual: 300, most: 3_600 };

const skip = (step: string): Mistake => ({ mistake: 'skip', step });
const early = (step: string, before: string): Mistake => ({ mistake: 'too-early', step, before });

function by(cause: Injection['cause'], note: Note, mistakes: (size: number) => readonly Mistake[]): Injection {
  const apply = (size: number): Injected => ({ where: 'crew', procedure: 'restoration', mistakes: mistakes(size) });
  return { cause, ...noted(note), where: 'crew', apply };
}
