import type { WriteStream } from 'node:tty';

/** Colours for a terminal; every one of them leaves the text as it is elsewhere. */
export interface Paint {
  readonly plain: (text: string) => string;
  readonly bold: (text: string) => string;
  readonly red: (text: string) => string;
  readonly yellow: (text: string) => string;
}

const plain = (text: string): string => text;
const code = (number: number) => (text: string) => `\u001b[${number}m${text}\u001b[0m`;

/** Colours only where the output is a terminal that shows some, and the user has not said no with NO_COLOR. */
export const paintFor = (output: Pick<WriteStream, 'isTTY'>, environment: NodeJS.ProcessEnv): Paint => {
  const wanted = output.isTTY && (environment['NO_COLOR'] ?? '') === '' && environment['TERM'] !== 'dumb';
  return wanted
    ? { plain, bold: code(1), red: code(31), yellow: code(33) }
    : { plain, bold: plain, red: plain, yellow: plain };
};
