import type { Terminal } from './terminal.ts';

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
export const paintFor = ({ out, environment }: Terminal): Paint => {
  const refused = (environment['NO_COLOR'] ?? '') !== '' || environment['TERM'] === 'dumb';
  if (out.isTTY !== true || refused) return { plain, bold: plain, red: plain, yellow: plain };
  return { plain, bold: code(1), red: code(31), yellow: code(33) };
};
