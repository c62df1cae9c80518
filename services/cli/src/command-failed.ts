/** The command could not run: a wrong option, a file that cannot be read, a broker that cannot be reached. */
export const couldNotRun = 2;

/** The command ran and what it checked did not hold: a broken chain, an import refused. */
export const foundWrong = 1;

/** Ends a command with a message that a person understands and an exit code. */
export class CommandFailed extends Error {
  override readonly name = 'CommandFailed';
  readonly code = 'command-failed';
  readonly exitCode: number;

  constructor(
    message: string,
    { exitCode = couldNotRun, cause }: { readonly exitCode?: number; readonly cause?: unknown } = {},
  ) {
    super(message, { cause });
    this.exitCode = exitCode;
  }
}

/** Why a file cannot be read, in words. */
export const cannotRead = (path: string, error: unknown): CommandFailed =>
  new CommandFailed(`cannot read ${path}: ${reasonOf(error)}`, { cause: error });

/** Why a file cannot be written, in words. */
export const cannotWrite = (path: string, error: unknown): CommandFailed =>
  new CommandFailed(`cannot write ${path}: ${reasonOf(error)}`, { cause: error });

function reasonOf(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? error.code : undefined;
  return typeof code === 'string' ? (words[code] ?? code) : String(error);
}

const words: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file',
  EACCES: 'no permission',
  EEXIST: 'there is a file of that name already',
  EISDIR: 'it is a folder',
  ENOSPC: 'the disk is full',
  SQLITE_CANTOPEN: 'there is no such file, or no permission',
  SQLITE_NOTADB: 'it is no journal',
};
