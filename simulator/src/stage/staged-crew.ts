import { fail, ok, unreachable } from '@tidemark/kernel';
import type { Result } from '@tidemark/kernel';
import type { Profile } from '@tidemark/riser';
import type { StagedCrew } from '@tidemark/scenario';
import { isInitiating } from '@tidemark/signals';
import type { CrewOrder } from '../crew/crew.ts';
import { planCrew } from '../crew/plan.ts';
import { procedures } from '../crew/procedures.ts';
import type { CrewStep, Mistake } from '../crew/step.ts';

/** The crew that a scenario sends to a riser, or what was expected there. */
export function crewOrder(crew: StagedCrew, profile: Profile, seed: number): Result<CrewOrder, string> {
  const initiating = profile.points.filter(({ signal }) => isInitiating(signal)).map(({ point }) => point);
  const points = crew.points ?? initiating.slice(0, 1);
  const unknown = points.find((point) => !initiating.includes(point));
  if (unknown !== undefined)
    return fail(`expected points of initiating devices, of ${initiating.join(', ')}, unlike ${String(unknown)}`);
  const script = scriptOf(crew, points);
  if (!script.ok) return script;
  const plan = planCrew(script.value, crew.mistakes.map(mistakeOf));
  return plan.ok ? ok({ plan: plan.value, from_s: crew.at / 1_000, seed }) : fail(`expected ${plan.failure.expected}`);
}

function scriptOf(
  { forSeconds, procedure }: StagedCrew,
  points: readonly number[],
): Result<readonly CrewStep[], string> {
  const [point] = points;
  switch (procedure) {
    case 'alarm-test':
      return ok(procedures.alarmTest({ forSeconds }));
    case 'main-drain-test':
      return ok(procedures.mainDrainTest({ forSeconds }));
    case 'prime-valve-maintenance':
      return ok(procedures.primeValveMaintenance());
    case 'devices-test':
      return ok(procedures.devicesTest({ forSeconds, points }));
    case 'restoration':
    case 'trip-test':
      if (point === undefined) return fail(`expected a riser with an initiating device for ${procedure}`);
      return ok(
        procedure === 'restoration' ? procedures.restoration({ point }) : procedures.tripTest({ forSeconds, point }),
      );
    default:
      return unreachable(procedure);
  }
}

function mistakeOf(given: StagedCrew['mistakes'][number]): Mistake {
  if ('skip' in given) return { mistake: 'skip', step: given.skip };
  if ('swap' in given) return { mistake: 'swap', step: given.swap, with: given.with };
  if ('halfDo' in given) return { mistake: 'half-do', step: given.halfDo, part: given.part };
  if ('tooLate' in given) return { mistake: 'too-late', step: given.tooLate, by_s: given.by / 1_000 };
  if ('leaveBefore' in given) return { mistake: 'leave', before: given.leaveBefore };
  const { before, tooEarly } = given;
  return { mistake: 'too-early', step: tooEarly, ...(before === undefined ? {} : { before }) };
}
