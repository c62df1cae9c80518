import type { FileHandle } from 'node:fs/promises';
import { Option } from 'commander';
import type { Command } from 'commander';
import { openLog } from './open-log.ts';
import { asArgument, prefixOption } from './options.ts';
import { LineOutput } from './output.ts';
import { paintFor } from './paint.ts';
import { readProfile } from './read-profile.ts';
import { indexLines, linesInOrder } from './replay/line-index.ts';
import { countsJson, newsJson } from './replay/news-json.ts';
import { countsText, newsText } from './replay/news-text.ts';
import { Replay } from './replay/replay.ts';
import type { ReplayCounts, ReplayNews } from './replay/replay.ts';
import type { Until } from './replay/until.ts';
import { parseUntil, stopAt } from './replay/until.ts';
import { siteClock } from './site-clock.ts';
import type { Terminal } from './terminal.ts';

interface ReplayFlags {
  readonly profile: string;
  readonly until?: Until;
  readonly json?: true;
  readonly prefix: string;
}

const untilForm = 'expected +90s, +5m, +3h, +2d, +PT1H30M, or a time such as 2026-03-02T09:00:00Z';

/** `tidemark replay`. */
export const addReplay = (program: Command, terminal: Terminal): Command =>
  program
    .command('replay')
    .summary('tell the story that a log of signals tells')
    .description(
      'Runs a log of signals through the same reasoning as live, in simulated time, and prints every change of phase ' +
        'and every finding. Lines are taken in the order in which they were received, whatever their order in the file.',
    )
    .argument('<file.ndjson>', 'one CloudEvent or one recorded message a line')
    .requiredOption('--profile <file>', 'what is installed at the riser (*.riser.yaml)')
    .addOption(
      new Option(
        '--until <time>',
        `run the clock on after the last line: ${untilForm.replace('expected ', '')}`,
      ).argParser((text) => asArgument(parseUntil(text), untilForm)),
    )
    .option('--json', 'print one JSON object a line and nothing else')
    .addOption(prefixOption())
    .addHelpText(
      'after',
      '\nExit code 0 whatever was found, 2 when it could not run.\nUnder npm: npm run -s tidemark -- replay …',
    )
    .action((file: string, flags: ReplayFlags) => replay(file, flags, terminal));

async function replay(path: string, flags: ReplayFlags, terminal: Terminal): Promise<void> {
  const profile = await readProfile(flags.profile);
  const output = new LineOutput(terminal.out);
  const text = { clock: siteClock(profile.site.timeZone), paint: paintFor(terminal) };
  const riser = `${profile.account}/${profile.riser}`;
  const show = (news: ReplayNews): string =>
    flags.json === true ? JSON.stringify(newsJson(news, riser)) : newsText(news, text);
  const sum = (counts: ReplayCounts): string =>
    flags.json === true ? JSON.stringify(countsJson(counts)) : countsText(counts);

  const file = await openLog(path);
  try {
    const replay = new Replay(profile, flags.prefix);
    for await (const news of tell(file, { replay, until: flags.until, terminal })) await output.write(show(news));
    await output.write(sum(replay.counts));
  } finally {
    await file.close();
  }
}

interface Telling {
  readonly replay: Replay;
  readonly until: Until | undefined;
  readonly terminal: Terminal;
}

/** Everything a file makes known: its lines in order of receipt, then the time until the clock stops. */
async function* tell(
  file: FileHandle,
  { replay, until, terminal }: Telling,
): AsyncGenerator<ReplayNews, void, undefined> {
  const index = await indexLines(file);
  for await (const line of linesInOrder(file, index)) yield* replay.take(line);
  if (until?.type === 'at' && replay.now !== undefined && until.at < replay.now)
    terminal.err.write('--until lies before the receipt of the last line: the clock stops at that line\n');
  const stop = stopAt(until, replay.now);
  if (stop !== undefined) yield* replay.runTo(stop);
  yield* replay.end();
}
