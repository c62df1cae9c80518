import { randomUUID } from 'node:crypto';
import { once } from 'node:events';
import { setTimeout as elapse } from 'node:timers/promises';
import type { Instant, Result } from '@tidemark/kernel';
import { fail, instant, ok, seededRandom } from '@tidemark/kernel';
import type { BrokerAddress, OutgoingMessage } from '@tidemark/mqtt';
import { MqttSink, showBroker } from '@tidemark/mqtt';
import { Option } from 'commander';
import type { Command } from 'commander';
import { CommandFailed } from './command-failed.ts';
import { openLog } from './open-log.ts';
import { asArgument, mqttOption, prefixOption } from './options.ts';
import type { Playing } from './play/played-message.ts';
import { playedAt, playedMessage } from './play/played-message.ts';
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

/** How long the broker may take to accept the first connection. */
const connectWithin_ms = 10_000;

/** Sent and not yet answered; the next waits. The sink bounds what is on the wire by what the broker allows. */
const inFlightLimit = 256;

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
    const sink = await connected(flags.mqtt, run);
    const sender = new Sender(sink, new Progress(terminal, 'lines', index.order.length));
    try {
      const playing = playingOf(index, flags, { id: run, sentFrom: terminal.now() });
      await send(linesInOrder(file, index), sender, { terminal, playing });
    } finally {
      // Waits for what the broker still has to answer, so that it is counted.
      await sink.close();
    }
    sender.end(terminal.stop.aborted);
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
}

/** Sends each line at its moment; at Ctrl-C no further one. */
async function send(lines: AsyncIterable<ReplayLine>, sender: Sender, { terminal, playing }: Telling): Promise<void> {
  for await (const { receivedAt, text } of lines) {
    const wait_ms = receivedAt === undefined ? 0 : playedAt(receivedAt, playing) - terminal.now();
    if (wait_ms > 0) await elapse(wait_ms, undefined, { signal: terminal.stop }).catch(() => undefined);
    if (terminal.stop.aborted) return;
    const played = text.ok ? playedMessage(text.value, playing) : ({ type: 'skipped', why: 'unreadable' } as const);
    await sender.take(played.type === 'message' ? played.message : played.why);
  }
  await Promise.race([sender.settled(), once(terminal.stop, 'abort')]);
}

/** Keeps messages in order and a bounded number under way, and counts what became of them. */
class Sender {
  readonly #sink: MqttSink;
  readonly #progress: Progress;
  readonly #underWay = new Set<Promise<void>>();
  readonly #counts = { sent: 0, refused: 0, command: 0, unreadable: 0 };

  constructor(sink: MqttSink, progress: Progress) {
    this.#sink = sink;
    this.#progress = progress;
  }

  async take(what: OutgoingMessage | 'command' | 'unreadable'): Promise<void> {
    this.#progress.advance();
    if (typeof what === 'string') {
      this.#counts[what] += 1;
      return;
    }
    const sending = this.#sink.publish(what).then((result) => {
      this.#counts[result.ok ? 'sent' : 'refused'] += 1;
      this.#underWay.delete(sending);
    });
    this.#underWay.add(sending);
    if (this.#underWay.size >= inFlightLimit) await Promise.race(this.#underWay);
  }

  async settled(): Promise<void> {
    await Promise.all(this.#underWay);
  }

  end(stopped: boolean): void {
    const { sent, refused, command, unreadable } = this.#counts;
    this.#progress.end(
      `${stopped ? 'stopped: ' : ''}${sent} messages sent, ${refused} refused by the broker, ` +
        `${command} commands and ${unreadable} unreadable lines left out`,
    );
  }
}

async function connected(broker: BrokerAddress, run: string): Promise<MqttSink> {
  let onConnect = (): void => undefined;
  const connection = new Promise<'connected'>((resolve) => {
    onConnect = () => resolve('connected');
  });
  const sink = new MqttSink({
    broker,
    clientId: `tidemark-play-${run}`,
    random: seededRandom(Number.parseInt(run.slice(0, 8), 16)),
    onConnect: () => onConnect(),
  });
  const late = new AbortController();
  const outcome = await Promise.race([connection, elapse(connectWithin_ms, 'late' as const, { signal: late.signal })]);
  late.abort();
  if (outcome === 'connected') return sink;
  await sink.close();
  throw new CommandFailed(`cannot reach ${showBroker(broker)} within ${connectWithin_ms / 1_000} s`);
}
