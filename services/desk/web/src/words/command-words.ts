import type { RiserCommand } from '@tidemark/api';
import { speakDuration } from '@tidemark/kernel';

/** What was decided, in words that follow a name. */
export function commandWords(command: RiserCommand): string {
  switch (command.command) {
    case 'acknowledge':
      return `acknowledged ${targetWords(command)}`;
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
      return `shelved ${targetWords(command)} for ${speakDuration(command.forSeconds * 1_000)}: ${command.reason}`;
    case 'unshelve':
      return `took ${targetWords(command)} off the shelf`;
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

const targetWords = ({
  finding,
  alert,
}: {
  readonly finding?: string | undefined;
  readonly alert?: string | undefined;
}) => finding ?? alert ?? '';

const noteWords = ({ note }: { readonly note?: string | undefined }) => (note === undefined ? '' : `: ${note}`);

const dispatchWords = { sent: 'sent', arrived: 'on site', recalled: 'called back' } as const;
