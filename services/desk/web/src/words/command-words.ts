import type { RiserCommand } from '@tidemark/api';
import { speakDuration } from '@tidemark/kernel';

/** What was decided, in words that follow a name. */
export function commandWords(command: RiserCommand): string {
  switch (command.command) {
    case 'acknowledge':
      return `acknowledged ${command.finding}`;
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
  }
}
