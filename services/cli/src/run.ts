import { CommanderError } from 'commander';
import { CommandFailed, couldNotRun } from './command-failed.ts';
import { OutputClosed } from './output.ts';
import { program } from './program.ts';
import type { Terminal } from './terminal.ts';

/** Runs `tidemark` with these arguments and gives its exit code. Only a bug makes it throw. */
export async function runTidemark(args: readonly string[], terminal: Terminal): Promise<number> {
  try {
    await program(terminal).parseAsync(args, { from: 'user' });
    return 0;
  } catch (error) {
    // Commander has said it already; asking for help is no mistake.
    if (error instanceof CommanderError) return error.exitCode === 0 ? 0 : couldNotRun;
    if (error instanceof OutputClosed) return 0;
    if (!(error instanceof CommandFailed)) throw error;
    terminal.err.write(`${error.message}\n`);
    return error.exitCode;
  }
}
