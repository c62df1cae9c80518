import type { Deed } from './act.ts';
import type { Sighting } from './sight.ts';
import type { Spread } from './spread.ts';
import type { CrewStep } from './step.ts';
import { callTakes, deviceTasks, panelTasks, pauseTakes, valveTasks } from './tasks.ts';

/** Where people stand for a step; between places they walk. */
export type Place = 'riser' | 'panel' | 'device' | 'anywhere';

const isTask = <Table extends object>(table: Table, task: string): task is Extract<keyof Table, string> =>
  Object.hasOwn(table, task);

/** Where a step is done. */
export function placeOf(step: CrewStep): Place {
  if (isTask(panelTasks, step.do)) return 'panel';
  if (isTask(deviceTasks, step.do)) return 'device';
  if (isTask(valveTasks, step.do)) return 'riser';
  return step.do === 'wait-until' ? watchedAt(step.sees) : 'anywhere';
}

const watchedAt = (what: Sighting): Place =>
  typeof what === 'object' || what === 'panel-normal' || what === 'panel-alarm' ? 'panel' : 'riser';

/** How long a step usually takes. */
export function takesOf(step: CrewStep): Spread {
  if (step.takes !== undefined) return step.takes;
  if (isTask(panelTasks, step.do)) return panelTasks[step.do].takes;
  if (isTask(deviceTasks, step.do)) return deviceTasks[step.do].takes;
  if (isTask(valveTasks, step.do)) return valveTasks[step.do].takes;
  return step.do === 'tell-station' ? callTakes : pauseTakes;
}

/** What hands do in a step; nothing in one that only waits. A valve is turned a part of its way from its other end. */
export function deedOf(
  step: CrewStep,
  { over_s, part }: { readonly over_s: number; readonly part: number },
): Deed | undefined {
  switch (step.do) {
    case 'wait-until':
    case 'pause':
      return undefined;
    case 'tell-station':
      return { act: 'station', command: step.command };
    case 'operate-device':
    case 'restore-device':
      return { act: 'device', point: step.point, state: deviceTasks[step.do].state };
    default: {
      if (isTask(panelTasks, step.do)) return panelTasks[step.do].gesture;
      const { to: end, valve } = valveTasks[step.do];
      const to = ('to' in step ? step.to : undefined) ?? end;
      return { act: 'valve', valve, to: 1 - end + part * (to - (1 - end)), over_s };
    }
  }
}
