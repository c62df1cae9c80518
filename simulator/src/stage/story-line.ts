import { formatInstant, instant } from '@tidemark/kernel';
import { runOf } from '../link/link-setup.ts';
import type { LinkSetup } from '../link/link-setup.ts';
import { replayLineOf } from '../link/wire.ts';
import type { Heard } from './stage.ts';

/** The line of a replay file (CONTRACT 7.1) that says something reached the station, without its line break. */
export function storyLine(heard: Heard, sender: LinkSetup): string {
  if (heard.topic !== 'command') return replayLineOf(heard, sender);
  const at = formatInstant(instant(sender.begin + 1_000 * heard.received_s));
  return JSON.stringify({
    specversion: '1.0',
    id: `${runOf(sender)}-command-${String(heard.number)}`,
    source: '/station',
    type: 'riser.command.v1',
    subject: sender.key.riser,
    time: at,
    receivedtime: at,
    data: heard.command,
  });
}
