import type { ProblemCode } from '@tidemark/api';
import type { Result } from '@tidemark/kernel';
import { fail, ok, unreachable } from '@tidemark/kernel';
import { answersOf } from '@tidemark/reasoning';
import type { RiserView } from '@tidemark/reasoning';
import type { RiserCommand } from '@tidemark/riser';

/** Whether a command means anything for a riser as it stands; a person is told when it does not. */
export function checkCommand(view: RiserView, command: RiserCommand): Result<undefined, ProblemCode> {
  switch (command.command) {
    case 'acknowledge':
      return when(
        view.findings.some(({ code }) => code === command.finding),
        'no-such-finding',
      );
    case 'confirm':
      return when(
        view.restoration.some(({ step }) => step === command.step),
        'no-such-step',
      );
    case 'test-end':
      return when(view.test !== undefined, 'nothing-to-end');
    case 'impairment-end':
      return when(view.impairment !== undefined, 'nothing-to-end');
    case 'impairment-begin':
      return when(view.impairment === undefined, 'already-declared');
    case 'shelve':
    case 'unshelve':
      return when(
        view.findings.some(({ code }) => code === command.finding),
        'no-such-finding',
      );
    case 'check-answered':
      return when(answersOf(command.check).includes(command.found), 'no-such-check');
    case 'test-begin':
    case 'note':
    case 'call-recorded':
    case 'dispatch-recorded':
      return ok(undefined);
    default:
      return unreachable(command);
  }
}

const when = (holds: boolean, otherwise: ProblemCode): Result<undefined, ProblemCode> =>
  holds ? ok(undefined) : fail(otherwise);
