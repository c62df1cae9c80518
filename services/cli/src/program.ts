import { Command } from 'commander';
import { addReplay } from './replay-command.ts';
import type { Terminal } from './terminal.ts';

/** The `tidemark` command with everything it can do. */
export function program(terminal: Terminal): Command {
  const tidemark = new Command('tidemark')
    .description('Tells from the signals of a deluge riser what state it is in, and whether they can be true.')
    .configureOutput({
      writeOut: (text) => terminal.out.write(text),
      writeErr: (text) => terminal.err.write(text),
    })
    .exitOverride();
  addReplay(tidemark, terminal);
  return tidemark;
}
