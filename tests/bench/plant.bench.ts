import { defaultFigures } from '@tidemark/hydraulics';
import { advance, command, createPlant } from '@tidemark/simulator';
import type { Plant } from '@tidemark/simulator';
import { Solver } from 'odex';
import { stepChamber } from '../../simulator/src/plant/chamber.ts';
import { coupleClapper } from '../../simulator/src/plant/couple.ts';
import { stepLine } from '../../simulator/src/plant/line.ts';
import { valveIndex } from '../../simulator/src/plant/names.ts';
import { stepNetwork } from '../../simulator/src/plant/network.ts';
import { draftOf } from '../../simulator/src/plant/state.ts';
import { move, story } from '../../simulator/test/plant/story.ts';

/*
 * How fast the plant runs: against real time, and against a general-purpose integrator on the same equations at equal
 * accuracy, in the same run on the same machine. Processor time of this process, so that a busy machine distorts less;
 * the ratios are what counts. Run: npm run bench:plant
 */

/** Processor time of one call, s: enough calls for half a second, after as many again to warm up. */
function cpu_s(work: () => void): number {
  const used_s = (calls: number): number => {
    const start = process.cpuUsage();
    for (let call = 0; call < calls; call += 1) work();
    const { system, user } = process.cpuUsage(start);
    return (system + user) / 1e6;
  };
  const first_s = Math.max(1e-4, used_s(1));
  const calls = Math.max(3, Math.ceil(0.5 / first_s));
  used_s(calls);
  return used_s(calls) / calls;
}

const standby = createPlant(defaultFigures);

function playedStory(until_s: number): Plant {
  let plant = standby;
  for (const [at_s, given] of story) plant = command(plant, at_s, given).plant;
  return advance(plant, until_s).plant;
}

/** A stretch without a discrete event but those the rates below know, so that both can run it. */
interface Stretch {
  readonly start: Plant;
  readonly until_s: number;
}

const released = command(standby, 0, move('solenoid', 1)).plant;
const trip: Stretch = { start: released, until_s: 2 };
const flowing: Stretch = { start: command(released, 10, move('solenoid', 1)).plant, until_s: 70 };

const waters = ({ chamberWater_m3, lineWater_m3, pipingWater_m3 }: Plant['state']): readonly number[] => [
  chamberWater_m3,
  pipingWater_m3,
  lineWater_m3,
];

/** The plant's own waters after a stretch; a command that changes nothing ends its chain of steps there. */
const own = ({ start, until_s }: Stretch): readonly number[] =>
  waters(command(start, until_s, move('solenoid', 1)).plant.state);

/** The same in steps so short that their error does not count. */
function fine({ start, until_s }: Stretch): readonly number[] {
  const step_s = 1e-4;
  const solver = { tolerance: Infinity, locate_s: step_s, shortest_s: step_s, longest_s: step_s };
  return own({ start: command({ ...start, solver }, start.seen_s, move('solenoid', 1)).plant, until_s });
}

/** Short enough to read rates off, long enough for the digits of a difference. */
const instant_s = 1e-7;

/**
 * The same equations as rates of change. An integrator may ask for any state at any time, so the forces on the clapper
 * cannot be those of the step before, as in the plant's own steps: clapper and network are solved together at each call.
 */
function rates(start: Plant, at_s: number, [chamber = 0, piping = 0, line = 0]: readonly number[]): number[] {
  const { parameters } = start.setting;
  const draft = draftOf(start.state);
  const opened = Math.min(1, at_s / (parameters.valves[valveIndex.solenoid]?.stroke_s ?? 1));
  draft.position = draft.position.with(valveIndex.solenoid, opened);
  [draft.chamberWater_m3, draft.pipingWater_m3, draft.lineWater_m3] = [chamber, piping, line];
  // The relief opens at this moment of the default riser's trip.
  draft.reliefOpen = at_s > 0.34;
  if (draft.clapper < 1) coupleClapper(draft, parameters, instant_s);
  stepChamber(draft, parameters, instant_s);
  stepNetwork(draft, parameters, instant_s);
  stepLine(draft, parameters, instant_s);
  return [
    (draft.chamberWater_m3 - chamber) / instant_s,
    // Full pipes are a limit, not a rate.
    start.state.pipingFull ? 0 : (draft.pipingWater_m3 - piping) / instant_s,
    (draft.lineWater_m3 - line) / instant_s,
  ];
}

function odex({ start, until_s }: Stretch, tolerance: number): readonly number[] {
  const solver = new Solver(3);
  solver.absoluteTolerance = tolerance * 1e-3;
  solver.relativeTolerance = tolerance;
  solver.maxSteps = 10_000_000;
  const rate = (at_s: number, y: readonly number[]): number[] => rates(start, at_s, y);
  return solver.solve(rate, start.seen_s, [...waters(start.state)], until_s).y;
}

const departure = (found: readonly number[], reference: readonly number[]): number =>
  Math.max(...found.map((value, index) => Math.abs(value / (reference[index] ?? 1) - 1)));

const tolerances = [1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 5e-5, 2e-5, 1e-5, 3e-6, 1e-6];

/** Times the plant is faster than odex at the loosest tolerance that makes odex as accurate as the plant. */
function compare(name: string, stretch: Stretch): void {
  const reference = fine(stretch);
  // At rest the plant is exact; a thousandth is what anybody could ask of the other.
  const accuracy = Math.max(departure(own(stretch), reference), 1e-3);
  line(`${name}: accuracy asked: the plant against steps of 0.1 ms, 0.1 % at least`, accuracy.toExponential(1));
  const tolerance = tolerances.find((each) => departure(odex(stretch, each), reference) <= accuracy);
  if (tolerance === undefined) {
    line(`${name}: odex`, 'did not reach that accuracy');
    return;
  }
  const reached = departure(odex(stretch, tolerance), reference);
  line(`${name}: odex at tolerance ${tolerance.toExponential(0)}, departure`, reached.toExponential(1));
  const ratio = cpu_s(() => odex(stretch, tolerance)) / cpu_s(() => own(stretch));
  line(`${name}: plant faster than odex at equal accuracy (goal 20)`, times(ratio));
}

function line(name: string, value: string): void {
  process.stdout.write(`${name.padEnd(66)} ${value}\n`);
}
const times = (ratio: number): string => `${Math.round(ratio).toLocaleString('en')} x`;

const story_s = cpu_s(() => playedStory(900));
line('15-minute story, one core, warm: times real time (goal 50,000)', times(900 / story_s));
line('  processor time', `${(1000 * story_s).toFixed(1)} ms`);

const day_s = cpu_s(() => advance(standby, 86_400));
line('quiet day: times real time (goal 1,000,000)', times(86_400 / day_s));
const storyDay_s = cpu_s(() => playedStory(86_400));
line('day with a story in it: times real time', times(86_400 / storyDay_s));

let fleet = Array.from({ length: 1000 }, () => standby);
let now_s = 0;
const second_s = cpu_s(() => {
  now_s += 1;
  fleet = fleet.map((plant) => advance(plant, now_s).plant);
});
line('1,000 quiet risers asked every second: share of a core (goal 0.5)', second_s.toFixed(4));
line('1,000 risers, each in a story all the time: share of a core', ((1000 * story_s) / 900).toFixed(4));

compare('trip, 2 s', trip);
compare('full flow, 60 s', flowing);
