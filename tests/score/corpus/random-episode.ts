import { formatInstant, instant, parseInstant, seededRandom } from '@tidemark/kernel';
import type { Instant, Random } from '@tidemark/kernel';
import type { Profile } from '@tidemark/riser';
import { Stage, figuresOf, injections, plausibleSize, storyLine } from '@tidemark/simulator';
import type { Injection, Mistake, Story, StoryFault, Truth as StagedTruth } from '@tidemark/simulator';
import { causeIds } from '@tidemark/words';
import type { CauseId } from '@tidemark/words';
import { heardStory } from '../oracle/heard-story.ts';
import { judge } from '../oracle/oracle.ts';
import type { Truth } from '../episode.ts';
import { dueOf, pointsFor, settingOf } from './fault-settings.ts';
import type { FaultSetting } from './fault-settings.ts';
import { happens, oneOf, shuffled, within } from './random-choice.ts';
import { randomRiser, withUnwrittenGauge } from './random-riser.ts';
import type { RandomRiser } from './random-riser.ts';
import { needs, scriptNames, scriptOf } from './scripts.ts';
import type { Script, ScriptName } from './scripts.ts';

/** The files of an episode. */
export interface RandomEpisode {
  readonly id: string;
  readonly log: string;
  readonly yaml: string;
  /** With times as text, as the label's file has them. */
  readonly truth: TruthText;
}

/** A label as it is written. */
export type TruthText = Omit<Truth, 'until' | 'injected' | 'meets'> & {
  readonly until: string;
  readonly injected: readonly { readonly cause: CauseId; readonly at: string }[];
  readonly meets: readonly {
    readonly code: Truth['meets'][number]['code'];
    readonly from: string;
    readonly to: string;
  }[];
};

/** What an episode is to be, before chance has its say. */
export interface Order {
  readonly part: 'tuning' | 'test';
  readonly seed: number;
  /** At most two; none for a normal one. Which of a cause's ways is chance. */
  readonly causes: readonly CauseId[];
}

/** Plays one episode and judges it. The same order gives the same bytes. */
export function randomEpisode({ causes, part, seed }: Order): RandomEpisode {
  const random = seededRandom(seed);
  const draw = drawn(causes, random);
  const story = storyOf(draw, random);
  const stage = new Stage(story);
  const heard = stage.advanceTo(story.length_s);
  const lines = heard.map((each) => storyLine(each, stage.sender));
  const until = instant(story.begin + 1_000 * story.length_s);
  const saidAt = new Map(
    heard.flatMap((each): readonly [string, Instant][] =>
      each.topic === 'signal' ? [[each.event.id, instant(story.begin + 1_000 * each.sent_s)]] : [],
    ),
  );
  const { may, meets } = judge(heardStory({ profile: draw.profile, lines, until, saidAt }));
  return {
    id: `${part}-${String(seed)}`,
    log: lines.map((line) => `${line}\n`).join(''),
    yaml: draw.yaml,
    truth: {
      part,
      story: speak(draw),
      until: formatInstant(until),
      injected: injectedIn(stage.truth, story.begin),
      meets: meets.map(({ code, from, to }) => ({ code, from: formatInstant(from), to: formatInstant(to) })),
      may: [...may],
    },
  };
}

/** A riser, a script and the faults in it. */
interface Draw {
  readonly yaml: string;
  /** As its file says, and as it truly is. */
  readonly profile: Profile;
  readonly installed: Profile;
  readonly script: Script;
  readonly faults: readonly StoryFault[];
}

function drawn(causes: readonly CauseId[], random: Random): Draw {
  const wanted = waysOf(causes, random);
  const settings = wanted.map(settingOf);
  const name = oneOf(random.fork('script name'), commonScripts(settings));
  const { installed, profile, yaml } = riserFor(
    wanted.map(({ cause }) => cause),
    name,
    random,
  );
  const watched_s = Math.max(0, ...settings.map((each) => each.watched_s ?? 0));
  const plain = scriptOf(name, installed, { random: random.fork('script'), watched_s });
  const ways = [...wanted, ...companionsOf(wanted, installed, random)].map((way) =>
    sameWay(way, installed, plain.point),
  );
  const sized = ways.map((way) => ({ way, size: sizeOf(way, random.fork(`size of ${way.cause}`)) }));
  const mistakes = sized.flatMap(({ size, way }): readonly Mistake[] => {
    const injected = way.apply(size ?? 1);
    const { skips } = settingOf(way);
    const skipped: readonly Mistake[] = skips === undefined ? [] : [{ mistake: 'skip', step: skips }];
    return injected.where === 'crew' ? [...injected.mistakes, ...skipped] : skipped;
  });
  const script = scriptOf(name, installed, { random: random.fork('script'), watched_s, mistakes });
  const faults = sized.map(({ size, way }): StoryFault => ({
    cause: way.cause,
    row: way.row,
    size,
    injected: way.apply(size ?? 1),
    due: dueOf(settingOf(way).when, script, random.fork(`due of ${way.cause} ${way.row}`)),
    ...lastingOf(way, random.fork(`end of ${way.cause}`)),
  }));
  return { yaml, profile, installed, script, faults };
}

/** So many faults of a hundred befall a riser whose file is not complete either (choice of this project). */
const incomplete = 0.04;

function riserFor(causes: readonly CauseId[], script: ScriptName, random: Random): RandomRiser {
  const riser = randomRiser(random.fork('riser'), [...causes.flatMap(pointsFor), ...needs[script]]);
  return causes.length > 0 && happens(random.fork('file'), incomplete) ? withUnwrittenGauge(riser) : riser;
}

/** Every way of a cause is as likely as the others. */
const wayOf = (cause: CauseId, profile: Profile, random: Random): Injection =>
  oneOf(
    random,
    injections(figuresOf(profile), profile).filter((each) => each.cause === cause),
  );

/**
 * A way of each cause. A second one that cannot show itself in a story of the first, or that is a mistake of people
 * beside another, gives way to one that can.
 */
function waysOf(causes: readonly CauseId[], random: Random): readonly Injection[] {
  const [first, second] = causes;
  if (first === undefined) return [];
  const way = (cause: CauseId): Injection => {
    const { installed } = randomRiser(random.fork('scout'), pointsFor(cause));
    return wayOf(cause, installed, random.fork(`way of ${cause}`));
  };
  const one = way(first);
  if (second === undefined) return [one];
  const others = [second, ...shuffled(random.fork('second'), causeIds)].filter((cause) => cause !== first);
  const fits = (other: Injection): boolean => {
    if (one.where === 'crew' && other.where === 'crew') return false;
    return commonScripts([settingOf(one), settingOf(other)]).length > 0;
  };
  const other = others.map(way).find(fits);
  return other === undefined ? [one] : [one, other];
}

/** Scripts in which every fault can show itself; all of them where there is no fault. */
const commonScripts = (settings: readonly FaultSetting[]): readonly ScriptName[] =>
  (settings[0]?.scripts ?? scriptNames).filter((name) => settings.every(({ scripts }) => scripts.includes(name)));

const companionsOf = (ways: readonly Injection[], profile: Profile, random: Random): readonly Injection[] =>
  ways.flatMap((way) => {
    const { with: cause } = settingOf(way);
    return cause === undefined || ways.some((each) => each.cause === cause)
      ? []
      : [wayOf(cause, profile, random.fork('companion'))];
  });

/** The same way on the riser as it is, aimed at the device that is operated. */
function sameWay(way: Injection, profile: Profile, point: number): Injection {
  const all = injections(figuresOf(profile), profile, { point }).filter(({ cause }) => cause === way.cause);
  return all.find(({ form, row }) => form === way.form && row === way.row) ?? all[0] ?? way;
}

/** Outages end within the story more often than not. */
const longestOutage_s = 5_400;

function sizeOf(way: Injection, random: Random): number | undefined {
  if (way.size === undefined) return undefined;
  const size = plausibleSize(way, random);
  return way.where === 'link' && way.size.unit === 's' && way.cause !== 'clock-offset'
    ? Math.min(size, longestOutage_s)
    : size;
}

/** Power comes back, in part; everything else stays as it is until the story ends. */
const lastingOf = ({ cause }: Injection, random: Random): Pick<StoryFault, 'lasts_s'> =>
  cause === 'panel-power-lost' ? { lasts_s: Math.round(within(random, 6_000, 18_000)) } : {};

const firstDay = parseInstant('2026-01-05T00:00:00Z');

function storyOf({ faults, installed, script }: Draw, random: Random): Story {
  const begin = instant((firstDay.ok ? firstDay.value : 0) + 60_000 * random.fork('begin').between(0, 500_000));
  const line = random.fork('line');
  return {
    profile: installed,
    begin,
    length_s: Math.round(script.length_s),
    link: {
      panel: 'panel-1',
      seed: line.between(1, 0x7fff_ffff),
      latency: { base_s: within(line, 0.1, 1.5), spread_s: within(line, 0, 1.5) },
      numbered: happens(line, 0.7),
    },
    faults,
    steps: [script.steps],
    crews: script.crews,
  };
}

const injectedIn = ({ causes }: StagedTruth, begin: Instant): TruthText['injected'] =>
  causes.map(({ cause, from_s }) => ({ cause, at: formatInstant(instant(begin + 1_000 * from_s)) }));

/** The story in a line. */
function speak({ faults, script }: Draw): string {
  const wrong = faults.map(({ cause, row, size }) => {
    return `${cause} (${row}${size === undefined ? '' : `, ${size.toPrecision(3)}`})`;
  });
  return `${script.name}: ${wrong.length === 0 ? 'nothing wrong' : wrong.join(' and ')}`;
}
