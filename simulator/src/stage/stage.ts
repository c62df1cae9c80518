import { invariant } from '@tidemark/kernel';
import type { StationCommand } from '../crew/act.ts';
import type { Crew } from '../crew/crew.ts';
import { createCrew, crewDue_s, crewTurn } from '../crew/crew.ts';
import type { Delivery } from '../link/delivery.ts';
import type { LinkSetup } from '../link/link-setup.ts';
import { receive } from '../link/link.ts';
import { told_s } from '../plant/event.ts';
import { Appointment } from './agenda.ts';
import { begin } from './fault.ts';
import { Ledger } from './ledger.ts';
import type { StepDeed, Story, StoryFault, StoryStep } from './story.ts';
import { Trace } from './trace.ts';
import type { Moment } from './trace.ts';
import type { Truth } from './truth.ts';
import { World } from './world.ts';

/** A message that reaches the station: from the panel over its link, or from somebody on site over the station's own door. */
export type Heard =
  | Delivery
  | {
      readonly topic: 'command';
      readonly sent_s: number;
      readonly received_s: number;
      /** Its place among the commands of the story, from 1. */
      readonly number: number;
      readonly command: StationCommand;
    };

/** Whether a story is also watched for a drawing, which costs time. */
export interface StageOptions {
  readonly traced?: boolean;
}

/**
 * Plays a story. Time passes when it is told to; it makes no difference in which slices: everything happens at its own
 * moment, and looking changes nothing. What is due at one moment comes in a fixed order: the plant's doings, the panel's,
 * faults in the order of the story, steps in the order of their threads, crews in theirs.
 */
export class Stage {
  readonly story: Story;
  readonly #ledger: Ledger;
  readonly #world: World;
  readonly #trace: Trace | undefined;
  readonly #threads: readonly Thread[];
  #faults: readonly PendingFault[];
  #endings: readonly Ending[] = [];
  #crews: readonly Crew[];
  #now_s = 0;
  #told = 0;

  constructor(story: Story, { traced = false }: StageOptions = {}) {
    this.story = story;
    this.#ledger = new Ledger(story.crews?.length ?? 0);
    this.#crews = (story.crews ?? []).map(createCrew);
    this.#world = new World(story, this.#ledger);
    this.#trace = traced ? new Trace() : undefined;
    this.#threads = (story.steps ?? []).map((steps) => new Thread(steps));
    this.#faults = (story.faults ?? []).map((fault) => ({ fault, appointment: new Appointment(fault.due, 0) }));
    this.#trace?.look(this.#world.view);
  }

  get now_s(): number {
    return this.#now_s;
  }

  /** Lets time pass to a moment and gives what reached the station since the last one, in order of receipt. */
  advanceTo(to_s: number): readonly Heard[] {
    invariant(to_s >= this.#now_s, 'a story only goes forward');
    for (let next_s = this.#next_s(); next_s <= to_s; next_s = this.#next_s()) this.#happen(next_s);
    this.#now_s = to_s;
    const { link, deliveries } = receive(this.#world.link, to_s);
    this.#world.link = link;
    return this.#withCommands(deliveries, to_s);
  }

  /** Who sends what reaches the station. */
  get sender(): LinkSetup {
    return this.#world.link.setup;
  }

  /** What truly happened until now. */
  get truth(): Truth {
    return this.#ledger.truth;
  }

  /** How pressures, flows and positions went until now; empty unless the story is traced. */
  get trace(): readonly Moment[] {
    return this.#trace?.moments ?? [];
  }

  #next_s(): number {
    let next_s = this.#world.next_s;
    for (const thread of this.#threads) next_s = Math.min(next_s, thread.next_s);
    for (const { appointment } of this.#faults) next_s = Math.min(next_s, appointment.at_s);
    for (const crew of this.#crews) next_s = Math.min(next_s, crewDue_s(crew) ?? Infinity);
    for (const { at_s } of this.#endings) next_s = Math.min(next_s, at_s);
    return next_s;
  }

  #happen(at_s: number): void {
    this.#world.goTo(at_s);
    this.#endFaults(at_s);
    this.#beginFaults(at_s);
    for (const [index, thread] of this.#threads.entries()) this.#goOn(thread, index, at_s);
    this.#crews = this.#crews.map((crew, index) => this.#work(crew, index, at_s));
    this.#trace?.look(this.#world.view);
  }

  #goOn(thread: Thread, index: number, at_s: number): void {
    thread.look(at_s, this.#world, this.#ledger);
    for (let step = thread.take(at_s); step !== undefined; step = thread.take(at_s)) {
      this.#perform(step.deed, at_s, `steps ${String(index + 1)}`);
      thread.look(at_s, this.#world, this.#ledger);
    }
  }

  /** A crew's turns that are due at a moment. */
  #work(waiting: Crew, index: number, at_s: number): Crew {
    let crew = waiting;
    while ((crewDue_s(crew) ?? Infinity) <= at_s) {
      const turn = crewTurn(crew, this.#world.sight);
      this.#ledger.crews[index]?.push(...turn.records);
      for (const act of turn.acts) this.#perform(act, at_s, `crew ${String(index + 1)}`);
      crew = turn.crew;
    }
    return crew;
  }

  #perform(deed: StepDeed, at_s: number, by: string): void {
    this.#ledger.acts.push({ ...deed, at_s, by });
    this.#world.perform(deed, at_s);
  }

  #beginFaults(at_s: number): void {
    const [due, later] = [[] as PendingFault[], [] as PendingFault[]];
    for (const pending of this.#faults) {
      pending.appointment.look(at_s, this.#world, this.#ledger);
      (pending.appointment.at_s <= at_s ? due : later).push(pending);
    }
    this.#faults = later;
    for (const { fault } of due) this.#begin(fault, at_s);
  }

  #begin(fault: StoryFault, at_s: number): void {
    const { cause, lasts_s, row, size } = fault;
    const noteEnd = this.#ledger.begin({ cause, row, size, from_s: at_s });
    const end = begin(fault, at_s, this.#world);
    if (lasts_s === undefined) return;
    const ending = (ended_s: number): void => {
      end(ended_s);
      noteEnd(ended_s);
    };
    this.#endings = [...this.#endings, { at_s: told_s(at_s + lasts_s), end: ending }];
  }

  #endFaults(at_s: number): void {
    const due = this.#endings.filter((ending) => ending.at_s <= at_s);
    if (due.length === 0) return;
    this.#endings = this.#endings.filter((ending) => ending.at_s > at_s);
    for (const { end } of due) end(at_s);
  }

  #withCommands(deliveries: readonly Delivery[], to_s: number): readonly Heard[] {
    const fresh = this.#world.commands.slice(this.#told).map(({ at_s, command }, index): Heard => ({
      topic: 'command',
      sent_s: at_s,
      received_s: at_s,
      number: this.#told + index + 1,
      command,
    }));
    invariant(
      fresh.every(({ received_s }) => received_s <= to_s),
      'a command is told when it was given',
    );
    this.#told += fresh.length;
    return fresh.length === 0
      ? deliveries
      : [...fresh, ...deliveries].toSorted((one, other) => one.received_s - other.received_s);
  }
}

interface PendingFault {
  readonly fault: StoryFault;
  readonly appointment: Appointment;
}

interface Ending {
  readonly at_s: number;
  readonly end: (at_s: number) => void;
}

/** Steps that come one after another. */
class Thread {
  readonly #steps: readonly StoryStep[];
  #place = 0;
  #appointment: Appointment | undefined;

  constructor(steps: readonly StoryStep[]) {
    this.#steps = steps;
    this.#appointment = this.#arrange(0);
  }

  get next_s(): number {
    return this.#appointment?.at_s ?? Infinity;
  }

  look(at_s: number, world: World, ledger: Ledger): void {
    this.#appointment?.look(at_s, world, ledger);
  }

  /** The step that is due by a moment, and on to the next one. */
  take(at_s: number): StoryStep | undefined {
    if (this.next_s > at_s) return undefined;
    const step = this.#steps[this.#place];
    this.#place += 1;
    this.#appointment = this.#arrange(at_s);
    return step;
  }

  #arrange(since_s: number): Appointment | undefined {
    const step = this.#steps[this.#place];
    return step === undefined ? undefined : new Appointment(step.due, since_s);
  }
}
