import { randomUUID } from 'node:crypto';
import { seededRandom } from '@tidemark/kernel';
import type { BrokerAddress, ReceivedMessage } from '@tidemark/mqtt';
import { AcknowledgedSource, showBroker } from '@tidemark/mqtt';
import { filterOf, recordingLine } from '@tidemark/signals';
import type { Command } from 'commander';
import { CommandFailed } from './command-failed.ts';
import { mqttOption, prefixOption } from './options.ts';
import type { LineSink } from './output.ts';
import { withOutput } from './output.ts';
import { Progress } from './progress.ts';
import type { Terminal } from './terminal.ts';

interface RecordFlags {
  readonly mqtt: BrokerAddress;
  readonly out?: string;
  readonly prefix: string;
}

/** `tidemark record`. */
export const addRecord = (program: Command, terminal: Terminal): Command =>
  program
    .command('record')
    .summary('write down what panels send, for replay')
    .description(
      'Listens to the signals and link messages at a broker and writes each as it arrived, a line each, until Ctrl-C. ' +
        'What it writes can be given to `replay` and `play`, broken payloads and all.',
    )
    .addOption(mqttOption())
    .option('--out <file>', 'write to a new file instead of the standard output')
    .addOption(prefixOption())
    .action((flags: RecordFlags) => record(flags, terminal));

async function record(flags: RecordFlags, terminal: Terminal): Promise<void> {
  const id = randomUUID();
  const source = new AcknowledgedSource({
    broker: flags.mqtt,
    clientId: `tidemark-record-${id}`,
    filters: [filterOf(flags.prefix, 'signal'), filterOf(flags.prefix, 'link')],
    // Nobody comes back for what a recorder missed.
    sessionExpiry_s: 0,
    now: terminal.now,
    random: seededRandom(Number.parseInt(id.slice(0, 8), 16)),
  });
  const close = (): void => source.close();
  terminal.stop.addEventListener('abort', close, { once: true });
  const progress = new Progress(terminal, 'messages');
  try {
    await live(source, flags.mqtt);
    progress.end(`recording from ${showBroker(flags.mqtt)} until Ctrl-C`);
    const untold = source.onHealth((health) => {
      if (health.state === 'down') progress.end(`connection lost, trying again: ${health.lastError}`);
      if (health.state === 'live') progress.end('connected again');
    });
    await withOutput(flags.out, terminal.out, (sink) => write(source, sink, progress));
    untold();
  } finally {
    terminal.stop.removeEventListener('abort', close);
    source.close();
  }
  progress.end(`${progress.count} messages recorded`);
}

/** Waits for the first connection; a broker that cannot be reached then is a mistake, later it is waited for. */
function live(source: AcknowledgedSource, broker: BrokerAddress): Promise<void> {
  return new Promise((resolve, reject) => {
    const judge = (health: AcknowledgedSource['health']): void => {
      if (health.state === 'connecting') return;
      stop();
      if (health.state === 'down') reject(new CommandFailed(`cannot reach ${showBroker(broker)}: ${health.lastError}`));
      else resolve();
    };
    const stop = source.onHealth(judge);
    judge(source.health);
  });
}

async function write(source: AcknowledgedSource, sink: LineSink, progress: Progress): Promise<void> {
  for await (const batch of source.batches()) {
    for (const message of batch.messages) {
      warnOfOmission(message, progress);
      await sink.write(recordingLine(message));
      progress.advance();
    }
    batch.acknowledge();
  }
}

function warnOfOmission({ topic, omitted_bytes }: ReceivedMessage, progress: Progress): void {
  if (omitted_bytes > 0)
    progress.end(`a message on ${topic} is too large: its last ${omitted_bytes} bytes are missing`);
}
