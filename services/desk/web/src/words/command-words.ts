import type { RiserCommand } from '@tidemark/api';
import { speakDuration } from '@tidemark/kernel';

/** What was decided, in words that follow a name. An alert is called as `names` knows it. */
export function commandWords(command: RiserCommand, names: ReadonlyMap<string, string> = new Map()): string {
  switch (command.command) {
    case 'acknowledge':
      return `acknowledged ${targetWords(command, names)}`;
    case 'confirm':
      return `confirmed: ${command.step.replaceAll('-', ' ')}`;
    case 'test-begin':
      return `announced a test for ${speakDuration(command.forSeconds * 1_000)}`;
    case 'test-end':
      return 'ended the test';
    case 'impairment-begin':
      return `declared ${command.kind === 'planned' ? 'a planned' : 'an emergency'} impairment: ${command.reason}`;
    case 'impairment-end':
      return 'ended the impairment';
    case 'shelve':
      return `shelved ${targetWords(command, names)} for ${speakDuration(command.forSeconds * 1_000)}: ${command.reason}`;
    case 'unshelve':
      return `took ${targetWords(command, names)} off the shelf`;
    case 'check-answered':
      return `answered the check ${command.check.replaceAll('-', ' ')}: ${command.found}`;
    case 'note':
      return `noted: ${command.text}`;
    case 'call-recorded': {
      const who = command.to.replaceAll('-', ' ');
      const reached = command.outcome === 'reached' ? `reached the ${who}` : `called the ${who} and reached nobody`;
      return `${reached}${command.person === undefined ? '' : `, ${command.person}`}${noteWords(command)}`;
    }
    case 'dispatch-recorded':
      return `recorded that the ${command.unit.replaceAll('-', ' ')} was ${dispatchWords[command.stage]}${noteWords(command)}`;
  }
}

interface Target {
  readonly finding?: string | undefined;
  readonly alert?: string | undefined;
}

/** An alert's id reads `account/riser/name/…`: its name stands in for one that is not listed any more. */
function targetWords({ finding, alert }: Target, names: ReadonlyMap<string, string>): string {
  const named = alert === undefined ? finding : (names.get(alert) ?? alert.split('/')[2]);
  return (named ?? 'an alert').replaceAll('-', ' ');
}

const noteWords = ({ note }: { readonly note?: string | undefined }) => (note === undefined ? '' : `: ${note}`);

const dispatchWords = { sent: 'sent', arrived: 'on site', recalled: 'called back' } as const;
