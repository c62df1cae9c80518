import { randomUUID } from 'node:crypto';
import { once } from 'node:events';
import { writeFile } from 'node:fs/promises';
import { fail, formatInstant, ok } from '@tidemark/kernel';
import type { Result } from '@tidemark/kernel';
import type { BrokerAddress } from '@tidemark/mqtt';
import { plot, plottedStory, runStory, storyLine } from '@tidemark/simulator';
import type { DrawnUnits, PlayedStory, Story } from '@tidemark/simulator';
import { Option } from 'commander';
import type { Command } from 'commander';
import { cannotWrite } from './command-failed.ts';
import { asArgument, mqttOption, prefixOption } from './options.ts';
import type { LineSink } from './output.ts';
import { withOutput } from './output.ts';
import { connected, Sender } from './play/sender.ts';
import { Progress } from './progress.ts';
import { Pace } from './simulate/pace.ts';
import type { Speed } from './simulate/pace.ts';
import { published } from './simulate/published.ts';
import type { Tempo } from './simulate/published.ts';
import { readStory } from './simulate/read-story.ts';
import type { Terminal } from './terminal.ts';

interface SimulateFlags {
  readonly speed?: Speed;
  readonly mqtt?: BrokerAddress;
  readonly out?: string;
  readonly plot?: string;
  readonly units: DrawnUnits;
  readonly prefix: string;
}

/** `tidemark simulate`. */
export const addSimulate = (program: Command, terminal: Terminal): Command =>
  program
    .command('simulate')
    .summary('run a scenario on the physical model')
    .description(
      'Plays a scenario of a plant, its panel, its people and its faults. With --mqtt it sends what the panel sends, ' +
        'beginning now; otherwise, or with --out, it writes the log of a station that heard it, for `replay`. Station ' +
        'commands are in the log only: they reach a station through its API. Ctrl-C stops.',
    )
    .argument('<scenario.yaml>', 'a story of a plant')
    .addOption(
      new Option('--speed <n>', 'times real time, or max; 1 with --mqtt, otherwise max').argParser((text) =>
        asArgument(parseSpeed(text), 'expected max, or a number above 0, at most 100000'),
      ),
    )
    .addOption(mqttOption().makeOptionMandatory(false))
    .option('--out <file>', 'write the log to a new file; without --mqtt and --out it goes to the standard output')
    .option('--plot <file.svg>', 'draw pressures, flows, positions and signals over time into a new file')
    .addOption(new Option('--units <units>', 'of the drawing').choices(['psi', 'bar']).default('psi'))
    .addOption(prefixOption())
    .action((file: string, flags: SimulateFlags) => simulate(file, flags, terminal));

const parseSpeed = (text: string): Result<Speed, 'malformed-speed'> => {
  if (text === 'max') return ok('max');
  return /^\d+(\.\d+)?$/.test(text) && Number(text) > 0 && Number(text) <= 100_000
    ? ok(Number(text))
    : fail('malformed-speed');
};

async function simulate(path: string, flags: SimulateFlags, terminal: Terminal): Promise<void> {
  const { claim, story: told } = await readStory(path);
  // The station compares a panel's clock with its own, so what is sent to one happens now.
  const story = flags.mqtt === undefined ? told : { ...told, begin: terminal.now() };
  const played = runStory(story, { traced: flags.plot !== undefined });
  if (flags.plot !== undefined) await draw(flags.plot, { claim, story, played, units: flags.units });
  const run = async (sink: LineSink | undefined): Promise<void> => tell({ story, played, sink }, flags, terminal);
  if (flags.mqtt !== undefined && flags.out === undefined) await run(undefined);
  else await withOutput(flags.out, terminal.out, run);
}

interface Drawn {
  readonly claim: string;
  readonly story: Story;
  readonly played: PlayedStory;
  readonly units: DrawnUnits;
}

async function draw(path: string, { claim, story, played, units }: Drawn): Promise<void> {
  const { account, riser } = story.profile;
  const subtitle = `${account}/${riser}; 0:00 is ${formatInstant(story.begin)}; signals as the station receives them`;
  const svg = plot(plottedStory(played, { title: claim, subtitle, length_s: story.length_s, units }));
  try {
    await writeFile(path, svg, { flag: 'wx' });
  } catch (error) {
    throw cannotWrite(path, error);
  }
}

interface Telling {
  readonly story: Story;
  readonly played: PlayedStory;
  /** Where lines go, if they are wanted. */
  readonly sink: LineSink | undefined;
}

async function tell({ story, played, sink }: Telling, flags: SimulateFlags, terminal: Terminal): Promise<void> {
  const speed = flags.speed ?? (flags.mqtt === undefined ? 'max' : 1);
  const tempo: Tempo = { begin: story.begin, speed: speed === 'max' ? 1 : speed, prefix: flags.prefix };
  const broker = flags.mqtt && (await connected(flags.mqtt, `tidemark-simulate-${randomUUID()}`));
  const sender = broker && new Sender(broker);
  const progress = new Progress(terminal, 's of the story', Math.ceil(story.length_s));
  const pace = new Pace(speed, progress, terminal);
  const counts = { lines: 0, commands: 0 };
  try {
    for (const heard of played.heard) {
      await pace.until(heard.received_s);
      if (terminal.stop.aborted) break;
      await sink?.write(storyLine(heard, played.sender));
      const message = published(heard, played.sender, tempo);
      if (message !== undefined) await sender?.take(message);
      counts[heard.topic === 'command' ? 'commands' : 'lines'] += 1;
    }
    await pace.until(story.length_s);
    if (!terminal.stop.aborted) await Promise.race([sender?.settled(), once(terminal.stop, 'abort')]);
  } finally {
    // Waits for what the broker still has to answer, so that it is counted.
    await sender?.close();
  }
  progress.end(`${terminal.stop.aborted ? 'stopped: ' : ''}${summary(counts, sender)}`);
}

function summary({ lines, commands }: { readonly lines: number; readonly commands: number }, sender?: Sender): string {
  if (sender === undefined) return `${lines} messages and ${commands} commands written`;
  const { sent, refused } = sender.counts;
  return `${sent} messages sent, ${refused} refused by the broker, ${commands} commands left out`;
}
