import { Command } from 'commander';
import { addJournal } from './journal-command.ts';
import { addPlay } from './play-command.ts';
import { addRecord } from './record-command.ts';
import { addReplay } from './replay-command.ts';
import { addSimulate } from './simulate-command.ts';
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
  addRecord(tidemark, terminal);
  addPlay(tidemark, terminal);
  addSimulate(tidemark, terminal);
  addJournal(tidemark, terminal);
  return tidemark;
}
