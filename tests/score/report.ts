import { causeScores, codeScores, confusions } from './metrics.ts';
import type { CauseScore, CodeScore, Outcome } from './metrics.ts';

/** The scores of one part as text. */
export function reportOf(name: string, outcomes: readonly Outcome[]): string {
  const codes = codeScores(outcomes);
  const causes = causeScores(outcomes);
  const normal = outcomes.filter(({ episode }) => episode.truth.injected.length === 0);
  const disturbed = normal.filter(({ episode, told }) => told.some(({ code }) => !episode.truth.may.includes(code)));
  return [
    `${name}: ${outcomes.length} episodes, ${normal.length} of them with nothing wrong (${disturbed.length} of these told a finding)`,
    '',
    row(['code', 'precision', 'recall', 'hits', 'false', 'missed', 'median delay', 'longest']),
    ...codes.map(codeRow),
    row([
      'all',
      ...ratios(sum(codes, 'hits'), sum(codes, 'falseAlarms'), sum(codes, 'misses')),
      `${sum(codes, 'hits')}`,
      `${sum(codes, 'falseAlarms')}`,
      `${sum(codes, 'misses')}`,
      '',
      '',
    ]),
    '',
    row(['cause', 'episodes', 'silent', 'first', 'in three', 'Brier', '', '']),
    ...causes.map(causeRow),
    allCauses('all', causes),
    allCauses('one fault alone', causeScores(outcomes.filter(({ episode }) => episode.truth.injected.length === 1))),
    allCauses('one of two faults', causeScores(outcomes.filter(({ episode }) => episode.truth.injected.length > 1))),
    '',
    'true cause taken for another (leading group):',
    ...confusions(outcomes)
      .filter(([cause, taken]) => cause !== taken)
      .map(([cause, taken, count]) => `  ${cause} -> ${taken} ${count}`),
  ].join('\n');
}

const row = ([first = '', ...rest]: readonly string[]): string =>
  `${first.padEnd(28)}${rest.map((cell) => cell.padStart(13)).join('')}`;

const percent = (part: number, whole: number): string => (whole === 0 ? '-' : `${((100 * part) / whole).toFixed(1)} %`);

const ratios = (hits: number, falseAlarms: number, misses: number): readonly string[] => [
  percent(hits, hits + falseAlarms),
  percent(hits, hits + misses),
];

function codeRow({ code, hits, falseAlarms, misses, delays_s }: CodeScore): string {
  const sorted = delays_s.toSorted((one, other) => one - other);
  const seconds = (value: number | undefined): string => (value === undefined ? '-' : `${value.toFixed(1)} s`);
  return row([
    code,
    ...ratios(hits, falseAlarms, misses),
    `${hits}`,
    `${falseAlarms}`,
    `${misses}`,
    seconds(sorted[Math.floor(sorted.length / 2)]),
    seconds(sorted.at(-1)),
  ]);
}

function causeRow({ cause, episodes, silent, first, three, brier }: CauseScore): string {
  const shown = episodes - silent;
  return row([
    cause,
    `${episodes}`,
    `${silent}`,
    percent(first, shown),
    percent(three, shown),
    brier.toFixed(3),
    '',
    '',
  ]);
}

/** Of two faults one may hide the other or show nothing beside it, and still counts here. */
function allCauses(name: string, causes: readonly CauseScore[]): string {
  const shown = causes.reduce((total, { episodes, silent }) => total + episodes - silent, 0);
  const brier = causes.reduce((total, score) => total + score.brier * (score.episodes - score.silent), 0) / shown;
  return row([
    name,
    `${sum(causes, 'episodes')}`,
    `${sum(causes, 'silent')}`,
    percent(sum(causes, 'first'), shown),
    percent(sum(causes, 'three'), shown),
    brier.toFixed(3),
    '',
    '',
  ]);
}

const sum = <Key extends string>(scores: readonly Readonly<Record<Key, number>>[], key: Key): number =>
  scores.reduce((total, score) => total + score[key], 0);
