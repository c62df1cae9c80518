import { CommanderError } from 'commander';
import { CommandFailed } from './command-failed.ts';
import { OutputClosed } from './output.ts';
import { program } from './program.ts';

/** What was asked for could not be done: a wrong option, a file that cannot be read, a broker that cannot be reached. */
const couldNotRun = 2;

try {
  await program().parseAsync();
} catch (error) {
  if (error instanceof CommanderError) {
    // Commander has said it already; asking for help or the version is no mistake.
    process.exitCode = error.exitCode === 0 ? 0 : couldNotRun;
  } else if (error instanceof CommandFailed) {
    process.stderr.write(`${error.message}\n`);
    process.exitCode = couldNotRun;
  } else if (!(error instanceof OutputClosed)) {
    throw error;
  }
}
