import { invariant, seededRandom } from '@tidemark/kernel';
import type { CrewAct, Deed } from './act.ts';
import { deedOf, placeOf, takesOf } from './hands.ts';
import type { Place } from './hands.ts';
import type { CrewPlan, PlannedStep } from './plan.ts';
import { sees } from './sight.ts';
import type { Sight } from './sight.ts';
import { drawn_s } from './spread.ts';
import type { Spread } from './spread.ts';
import type { CrewStep, StepRecord } from './step.ts';
import { glanceTakes, walkTakes } from './tasks.ts';

/**
 * One pair of hands with a plan, a value. It does something only at moments of its own (`crewDue_s`), and every length
 * of time is drawn by the name of its step, so that a step more or less changes no other one's pace. People who work
 * side by side are several crews.
 */
export interface Crew {
  readonly plan: CrewPlan;
  readonly seed: number;
  /** This crew's pace: all times are multiplied by it. */
  readonly pace: number;
  readonly place: Place;
  /** The step under way, and how far it is. */
  readonly index: number;
  readonly stage: 'coming' | 'at-it' | 'watching';
  readonly began_s: number;
  readonly looks: number;
  readonly due_s: number;
}

/** A crew after its turn, with what it did and what became of the steps that are over. */
export interface CrewTurn {
  readonly crew: Crew;
  readonly acts: readonly CrewAct[];
  readonly records: readonly StepRecord[];
}

/** How a crew is sent. */
export interface CrewOrder {
  readonly plan: CrewPlan;
  /** When it stands ready for its first step, s of true time. */
  readonly from_s: number;
  readonly seed: number;
}

/** People differ in pace by so much (choice of this project). */
const paces = { least_s: 0.8, usual_s: 1, most_s: 1.5 };

/** A crew that has not begun. */
export const createCrew = ({ from_s, plan, seed }: CrewOrder): Crew => ({
  plan,
  seed,
  pace: drawn_s(paces, seededRandom(seed).fork('pace')),
  place: 'anywhere',
  index: -1,
  stage: 'at-it',
  began_s: from_s,
  looks: 0,
  due_s: from_s,
});

/** When the crew next does something or looks; undefined when it is done. */
export const crewDue_s = ({ due_s, index, plan }: Crew): number | undefined =>
  index < plan.length ? due_s : undefined;

/** Lets the crew do what is due, given what there is to be seen at that moment. */
export function crewTurn(crew: Crew, sight: Sight): CrewTurn {
  invariant(crewDue_s(crew) !== undefined, 'a crew that is done has no turn');
  const planned = crew.plan[crew.index];
  if (planned === undefined) return onwards(crew);
  const { step } = planned;
  if (step.do === 'wait-until') return looked(crew, planned, sees(sight, step.sees));
  return crew.stage === 'coming' ? begun(crew, planned) : done(crew, planned);
}

/** Hands on: a valve turns from now on, everything else happens at the end. */
function begun(crew: Crew, planned: PlannedStep): CrewTurn {
  const lasts_s = drawn(crew, planned, takesOf(planned.step)) * (planned.part ?? 1);
  const deed = deedOf(planned.step, { over_s: lasts_s, part: planned.part ?? 1 });
  const acts = deed?.act === 'valve' ? [actAt(deed, crew.due_s)] : [];
  const next: Crew = { ...crew, stage: 'at-it', began_s: crew.due_s, due_s: toMs(crew.due_s + lasts_s) };
  return { crew: next, acts, records: [] };
}

function done(crew: Crew, planned: PlannedStep): CrewTurn {
  const deed = deedOf(planned.step, { over_s: 0, part: 1 });
  const acts = deed === undefined || deed.act === 'valve' ? [] : [actAt(deed, crew.due_s)];
  const outcome = planned.part === undefined ? 'done' : 'half-done';
  return over(crew, { acts, record: recordOf(planned, { began_s: crew.began_s, ended_s: crew.due_s, outcome }) });
}

function looked(crew: Crew, planned: PlannedStep & { readonly step: CrewStep }, seen: boolean): CrewTurn {
  const { step } = planned;
  invariant(step.do === 'wait-until', 'somebody who looks waits for something');
  const began_s = crew.stage === 'coming' ? crew.due_s : crew.began_s;
  // Half a millisecond: what a clock of whole milliseconds may round off.
  const last_s = began_s + step.atMost_s - 5e-4;
  if (seen || crew.due_s >= last_s) {
    const outcome = seen ? 'seen' : 'never-seen';
    return over(crew, { acts: [], record: recordOf(planned, { began_s, ended_s: crew.due_s, outcome }) });
  }
  const looks = crew.stage === 'coming' ? 1 : crew.looks + 1;
  const glance_s = drawn(crew, planned, glanceTakes, `look-${looks}`);
  const due_s = toMs(Math.min(began_s + step.atMost_s, crew.due_s + glance_s));
  return { crew: { ...crew, stage: 'watching', began_s, looks, due_s }, acts: [], records: [] };
}

function over(
  crew: Crew,
  { acts, record }: { readonly acts: readonly CrewAct[]; readonly record: StepRecord },
): CrewTurn {
  const next = onwards(crew);
  return { ...next, acts: [...acts, ...next.acts], records: [record, ...next.records] };
}

/** On to the next step that is done at all, on foot if it is elsewhere. */
function onwards(crew: Crew): CrewTurn {
  const records: StepRecord[] = [];
  let index = crew.index + 1;
  for (let planned = crew.plan[index]; planned?.skipped === true; planned = crew.plan[index]) {
    records.push(recordOf(planned, { began_s: crew.due_s, ended_s: crew.due_s, outcome: 'skipped' }));
    index += 1;
  }
  const planned = crew.plan[index];
  if (planned === undefined) return { crew: { ...crew, index, stage: 'at-it' }, acts: [], records };
  const { notBefore_s = 0 } = planned.step;
  const there = placeOf(planned.step);
  const walks = there !== 'anywhere' && crew.place !== 'anywhere' && there !== crew.place;
  const walk_s = walks ? drawn(crew, planned, walkTakes, 'walk') : 0;
  const due_s = Math.max(crew.due_s + walk_s, notBefore_s) + (planned.late_s ?? 0);
  const place = there === 'anywhere' ? crew.place : there;
  return { crew: { ...crew, index, place, stage: 'coming', due_s: toMs(due_s) }, acts: [], records };
}

function drawn({ pace, seed }: Crew, { name }: PlannedStep, takes: Spread, what = 'takes'): number {
  return pace * drawn_s(takes, seededRandom(seed).fork(`${name}/${what}`));
}

const actAt = (deed: Deed, at_s: number): CrewAct => ({ ...deed, at_s });

const recordOf = (
  { mistake, name, step }: PlannedStep,
  what: Pick<StepRecord, 'began_s' | 'ended_s' | 'outcome'>,
): StepRecord => ({ step: name, task: step.do, ...what, ...(mistake === undefined ? {} : { mistake }) });

/** People are told to the millisecond, like everything of the story. */
const toMs = (at_s: number): number => Math.ceil(at_s * 1_000 - 1e-6) / 1_000;
