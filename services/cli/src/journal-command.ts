import { open } from 'node:fs/promises';
import type { Position } from '@tidemark/journal';
import { exportJournal, importJournal, JournalUnavailable } from '@tidemark/journal';
import { JournalInUse, SqliteJournal, SqliteJournalReader, UnknownJournalFormat } from '@tidemark/journal-sqlite';
import { fail, ok } from '@tidemark/kernel';
import type { Result } from '@tidemark/kernel';
import type { Command } from 'commander';
import { cannotRead, CommandFailed, foundWrong } from './command-failed.ts';
import { asArgument } from './options.ts';
import { withOutput } from './output.ts';
import { Progress } from './progress.ts';
import type { Terminal } from './terminal.ts';

/** `tidemark journal`. */
export function addJournal(program: Command, terminal: Terminal): void {
  const journal = program
    .command('journal')
    .summary('check a journal, or move its events in and out')
    .description('Looks after the file in which a station keeps everything it has heard.');
  journal
    .command('verify')
    .description(
      'Recomputes the hash chain of every stream and names the first event that is not what it was. ' +
        'Exit code 0 when all is unbroken, 1 when something is broken, 2 when it could not run.',
    )
    .argument('<journal>', 'the journal file; a running station may have it open')
    .action((path: string) => verify(path, terminal));
  journal
    .command('export')
    .description('Writes the events as lines of JSON that `journal import` reads back.')
    .argument('<journal>', 'the journal file; a running station may have it open')
    .option('--out <file>', 'write to a new file instead of the standard output')
    .option('--after <position>', 'only what lies after this position', (text) =>
      asArgument(parsePosition(text), 'expected a position: decimal digits'),
    )
    .action((path: string, flags: ExportFlags) => exportTo(path, flags, terminal));
  journal
    .command('import')
    .description(
      'Records the events of an export. Importing the same again changes nothing; a line that does not follow is refused. ' +
        'Exit code 0 when all is recorded, 1 when a line was refused, 2 when it could not run.',
    )
    .argument('<journal>', 'the journal file; created when there is none')
    .argument('<file.ndjson>', 'what `journal export` wrote')
    .action((path: string, file: string) => importFrom(path, file, terminal));
}

interface ExportFlags {
  readonly out?: string;
  readonly after?: Position;
}

const parsePosition = (text: string): Result<Position, 'malformed-position'> =>
  /^\d{1,19}$/.test(text) ? ok(BigInt(text) as Position) : fail('malformed-position');

async function verify(path: string, terminal: Terminal): Promise<void> {
  const journal = opened(path, () => SqliteJournalReader.open(path));
  try {
    const verified = await journal.verify();
    if (!verified.ok) {
      const { reason, stream, revision, position, id } = verified.failure;
      throw new CommandFailed(
        `broken: ${reason} at position ${position}: event ${id}, revision ${revision} of stream ${stream}`,
        { exitCode: foundWrong },
      );
    }
    const { events, streams } = verified.value;
    terminal.out.write(`unbroken: ${events} events in ${streams} streams\n`);
  } finally {
    await journal.close();
  }
}

async function exportTo(path: string, { out, after }: ExportFlags, terminal: Terminal): Promise<void> {
  const journal = opened(path, () => SqliteJournalReader.open(path));
  const progress = new Progress(terminal, 'lines');
  try {
    await withOutput(out, terminal.out, async (sink) => {
      for await (const line of exportJournal(journal, after === undefined ? {} : { after })) {
        // An export that was stopped lacks its last line, which import notices.
        if (terminal.stop.aborted) break;
        await sink.write(line);
        progress.advance();
      }
    });
  } finally {
    await journal.close();
  }
  progress.end(terminal.stop.aborted ? `stopped after ${progress.count} lines` : `${progress.count} lines written`);
}

async function importFrom(path: string, file: string, terminal: Terminal): Promise<void> {
  const handle = await open(file, 'r').catch((error: unknown) => {
    throw cannotRead(file, error);
  });
  try {
    const journal = opened(path, () => SqliteJournal.open({ path, clock: terminal.now }));
    try {
      const imported = await importJournal(journal, handle.readLines());
      if (!imported.ok) {
        const { line, reason, expected } = imported.failure;
        throw new CommandFailed(`${file}:${line}: ${reason}: ${expected}`, { exitCode: foundWrong });
      }
      const { events, recorded, streams } = imported.value;
      terminal.out.write(`${events} events in ${streams} streams, ${recorded} of them new\n`);
    } finally {
      await journal.close();
    }
  } finally {
    await handle.close();
  }
}

/** Opens a journal, or says in a line why it cannot be. */
function opened<Journal>(path: string, open: () => Journal): Journal {
  try {
    return open();
  } catch (error) {
    if (error instanceof JournalUnavailable) throw cannotRead(path, error.cause);
    if (error instanceof JournalInUse || error instanceof UnknownJournalFormat)
      throw new CommandFailed(error.message, { cause: error });
    throw error;
  }
}
