import { fail, ok } from '@tidemark/kernel';
import type { Result } from '@tidemark/kernel';
import type { CrewStep, Mistake } from './step.ts';

/** A step as it will be done, with the mistake that is made with it. */
export interface PlannedStep {
  readonly name: string;
  readonly step: CrewStep;
  readonly mistake?: Mistake['mistake'];
  /** Not done at all. */
  readonly skipped?: true;
  /** How much of a valve's way it is turned, where it is not all of it. */
  readonly part?: number;
  /** How long it is put off. */
  readonly late_s?: number;
}

/** What a crew will do, in order. */
export type CrewPlan = readonly PlannedStep[];

/** A mistake that cannot be made with a script, and what it could have been made with. */
export interface MistakeRefused {
  readonly mistake: Mistake;
  readonly expected: string;
}

/** Names every step of a script and makes the mistakes in it, each in what the ones before it have left. */
export function planCrew(
  steps: readonly CrewStep[],
  mistakes: readonly Mistake[] = [],
): Result<CrewPlan, MistakeRefused> {
  let plan = named(steps);
  for (const mistake of mistakes) {
    const made = withMistake(plan, mistake);
    if (!made.ok) return fail({ mistake, expected: made.failure });
    plan = made.value;
  }
  return ok(plan);
}

/** The task names a step that has no name; the second and later of a name are numbered. */
function named(steps: readonly CrewStep[]): CrewPlan {
  const times = new Map<string, number>();
  return steps.map((step) => {
    const wanted = step.name ?? step.do;
    const count = (times.get(wanted) ?? 0) + 1;
    times.set(wanted, count);
    return { name: count === 1 ? wanted : `${wanted}-${count}`, step };
  });
}

function withMistake(plan: CrewPlan, mistake: Mistake): Result<CrewPlan, string> {
  const steps = mistake.mistake === 'leave' ? [mistake.before] : [mistake.step, ...otherOf(mistake)];
  const unknown = steps.find((step) => !plan.some(({ name }) => name === step));
  if (unknown !== undefined)
    return fail(`a step of the script instead of "${unknown}", one of ${plan.map(({ name }) => name).join(', ')}`);
  switch (mistake.mistake) {
    case 'skip':
      return ok(marked(plan, mistake.step, { mistake: 'skip', skipped: true }));
    case 'swap':
      return ok(swapped(plan, mistake));
    case 'half-do':
      return halfDone(plan, mistake);
    case 'too-early':
      return ok(tooEarly(plan, mistake));
    case 'too-late':
      return ok(marked(plan, mistake.step, { mistake: 'too-late', late_s: mistake.by_s }));
    case 'leave':
      return ok(left(plan, mistake.before));
  }
}

const otherOf = (mistake: Exclude<Mistake, { readonly mistake: 'leave' }>): readonly string[] => {
  if (mistake.mistake === 'swap') return [mistake.with];
  return mistake.mistake === 'too-early' && mistake.before !== undefined ? [mistake.before] : [];
};

const marked = (plan: CrewPlan, name: string, mark: Partial<PlannedStep>): CrewPlan =>
  plan.map((each) => (each.name === name ? { ...each, ...mark } : each));

const placeOf = (plan: CrewPlan, name: string): number => plan.findIndex((each) => each.name === name);

function swapped(plan: CrewPlan, { step, with: other }: Extract<Mistake, { readonly mistake: 'swap' }>): CrewPlan {
  const [one, two] = [plan[placeOf(plan, step)], plan[placeOf(plan, other)]];
  return plan.map((each) => {
    if (each.name === step && two !== undefined) return { ...two, mistake: 'swap' };
    return each.name === other && one !== undefined ? { ...one, mistake: 'swap' } : each;
  });
}

function halfDone(
  plan: CrewPlan,
  { part, step }: Extract<Mistake, { readonly mistake: 'half-do' }>,
): Result<CrewPlan, string> {
  if (!(part >= 0 && part <= 1)) return fail(`a part between 0 and 1 instead of ${part}`);
  return ok(marked(plan, step, { mistake: 'half-do', part }));
}

/** Done before another step, or without the waiting that is right before it. */
function tooEarly(plan: CrewPlan, { before, step }: Extract<Mistake, { readonly mistake: 'too-early' }>): CrewPlan {
  const at = placeOf(plan, step);
  if (before === undefined) {
    const waits = plan.slice(0, at).reduceRight((count, each, index) => {
      return index === at - 1 - count && each.step.do === 'wait-until' ? count + 1 : count;
    }, 0);
    return marked(plan, step, { mistake: 'too-early' }).map((each, index) =>
      index >= at - waits && index < at ? { ...each, mistake: 'too-early', skipped: true } : each,
    );
  }
  const moved = plan.filter(({ name }) => name === step).map((each) => ({ ...each, mistake: 'too-early' as const }));
  const others = plan.filter(({ name }) => name !== step);
  const to = before === step ? at : placeOf(others, before);
  return [...others.slice(0, to), ...moved, ...others.slice(to)];
}

const left = (plan: CrewPlan, before: string): CrewPlan =>
  plan.map((each, index) => (index >= placeOf(plan, before) ? { ...each, mistake: 'leave', skipped: true } : each));
