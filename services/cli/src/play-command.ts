import { randomUUID } from 'node:crypto';
import { once } from 'node:events';
import { setTimeout as elapse } from 'node:timers/promises';
import type { Instant, Result } from '@tidemark/kernel';
import { fail, instant, ok } from '@tidemark/kernel';
import type { BrokerAddress } from '@tidemark/mqtt';
import { Option } from 'commander';
import type { Command } from 'commander';
import { openLog } from './open-log.ts';
import { asArgument, mqttOption, prefixOption } from './options.ts';
import type { Playing } from './play/played-message.ts';
import { playedAt, playedMessage } from './play/played-message.ts';
import { connected, Sender } from './play/sender.ts';
import { Progress } from './progress.ts';
import type { LineIndex, ReplayLine } from './replay/line-index.ts';
import { indexLines, linesInOrder } from './replay/line-index.ts';
import type { Terminal } from './terminal.ts';

interface PlayFlags {
  readonly mqtt: BrokerAddress;
  readonly speed: number;
  readonly keepIds?: true;
  readonly prefix: string;
}

/** `tidemark play`. */
export const addPlay = (program: Command, terminal: Terminal): Command =>
  program
    .command('play')
    .summary('send a recorded log as if it happened now')
    .description(
      'Sends the signals and link messages of a log to a broker, with their times shifted to now. Station commands ' +
        'are left out: they reach a station through its API. Ctrl-C stops.',
    )
    .argument('<file.ndjson>', 'what `record` wrote, or one CloudEvent a line')
    .addOption(mqttOption())
    .addOption(
      new Option('--speed <n>', 'divide every interval by this, delays and clock offsets included')
        .argParser((text) => asArgument(parseSpeed(text), 'expected a number above 0, at most 100000'))
        .default(1),
    )
    .option('--keep-ids', 'keep the ids, so that a station that heard the log counts it as duplicates')
    .addOption(prefixOption())
    .action((file: string, flags: PlayFlags) => play(file, flags, terminal));

const parseSpeed = (text: string): Result<number, 'malformed-speed'> =>
  /^\d+(\.\d+)?$/.test(text) && Number(text) > 0 && Number(text) <= 100_000
    ? ok(Number(text))
    : fail('malformed-speed');

async function play(path: string, flags: PlayFlags, terminal: Terminal): Promise<void> {
  const file = await openLog(path);
  try {
    const index = await indexLines(file);
    const run = randomUUID();
    const sender = new Sender(await connected(flags.mqtt, `tidemark-play-${run}`));
    const progress = new Progress(terminal, 'lines', index.order.length);
    const leftOut = { command: 0, unreadable: 0 };
    try {
      const playing = playingOf(index, flags, { id: run, sentFrom: terminal.now() });
      await send(linesInOrder(file, index), sender, { terminal, playing, progress, leftOut });
    } finally {
      // Waits for what the broker still has to answer, so that it is counted.
      await sender.close();
    }
    const { sent, refused } = sender.counts;
    progress.end(
      `${terminal.stop.aborted ? 'stopped: ' : ''}${sent} messages sent, ${refused} refused by the broker, ` +
        `${leftOut.command} commands and ${leftOut.unreadable} unreadable lines left out`,
    );
  } finally {
    await file.close();
  }
}

interface Run {
  readonly id: string;
  readonly sentFrom: Instant;
}

const playingOf = (index: LineIndex, { prefix, speed, keepIds }: PlayFlags, { id, sentFrom }: Run): Playing => ({
  prefix,
  speed,
  run: keepIds === true ? undefined : id.slice(0, 8),
  recordedFrom: firstReceipt(index),
  sentFrom,
});

const firstReceipt = ({ receipts, order }: LineIndex): Instant => {
  const first = order.find((place) => (receipts[place] ?? Number.NEGATIVE_INFINITY) > Number.NEGATIVE_INFINITY);
  return instant(first === undefined ? 0 : (receipts[first] ?? 0));
};

interface Telling {
  readonly terminal: Terminal;
  readonly playing: Playing;
  readonly progress: Progress;
  readonly leftOut: { command: number; unreadable: number };
}

/** Sends each line at its moment; at Ctrl-C no further one. */
async function send(lines: AsyncIterable<ReplayLine>, sender: Sender, telling: Telling): Promise<void> {
  const { terminal, playing, progress, leftOut } = telling;
  for await (const { receivedAt, text } of lines) {
    const wait_ms = receivedAt === undefined ? 0 : playedAt(receivedAt, playing) - terminal.now();
    if (wait_ms > 0) await elapse(wait_ms, undefined, { signal: terminal.stop }).catch(() => undefined);
    if (terminal.stop.aborted) return;
    const played = text.ok ? playedMessage(text.value, playing) : ({ type: 'skipped', why: 'unreadable' } as const);
    progress.advance();
    if (played.type === 'message') await sender.take(played.message);
    else leftOut[played.why] += 1;
  }
  await Promise.race([sender.settled(), once(terminal.stop, 'abort')]);
}
