import { Command } from 'commander';
import { addReplay } from './replay-command.ts';

/** The `tidemark` command with everything it can do. */
export function program(): Command {
  const tidemark = new Command('tidemark')
    .description('Tells from the signals of a deluge riser what state it is in, and whether they can be true.')
    .exitOverride();
  addReplay(tidemark);
  return tidemark;
}
