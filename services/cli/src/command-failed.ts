/** The command cannot do what was asked: a wrong option, a file that cannot be read. One line a person understands. */
export class CommandFailed extends Error {
  override readonly name = 'CommandFailed';
  readonly code = 'command-failed';
}

/** Why a file cannot be read, in words. */
export function cannotRead(path: string, error: unknown): CommandFailed {
  const code = error instanceof Error && 'code' in error ? error.code : undefined;
  const why = typeof code === 'string' ? (words[code] ?? code) : String(error);
  return new CommandFailed(`cannot read ${path}: ${why}`, { cause: error });
}

const words: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file',
  EACCES: 'no permission',
  EISDIR: 'it is a folder',
};
