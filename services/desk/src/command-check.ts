import type { ProblemCode } from '@tidemark/api';
import type { Result } from '@tidemark/kernel';
import { fail, ok, unreachable } from '@tidemark/kernel';
import { answersOf } from '@tidemark/reasoning';
import type { AlertView, RiserView } from '@tidemark/reasoning';
import type { AlertTarget, RiserCommand } from '@tidemark/riser';

/** Whether a command means anything for a riser as it stands; a person is told when it does not. */
export function checkCommand(view: RiserView, command: RiserCommand): Result<undefined, ProblemCode> {
  switch (command.command) {
    case 'acknowledge':
      return found(view, command);
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
      return shelvable(view, command);
    case 'unshelve':
      return when(
        alertsMeant(view, command).some(({ shelving }) => shelving !== undefined),
        'nothing-to-end',
      );
    case 'check-answered':
      return when(answersOf(command.check).includes(command.found), 'no-such-check');
    case 'call-recorded':
    case 'dispatch-recorded':
      return command.alert === undefined ? ok(undefined) : found(view, command);
    case 'test-begin':
    case 'note':
      return ok(undefined);
    default:
      return unreachable(command);
  }
}

/** The alerts that a command names. */
const alertsMeant = ({ alerts }: RiserView, { finding, alert }: AlertTarget): readonly AlertView[] =>
  alerts.filter(({ id, name }) => (alert === undefined ? name === finding : id === alert));

const found = (view: RiserView, target: AlertTarget): Result<undefined, ProblemCode> =>
  when(alertsMeant(view, target).length > 0, target.alert === undefined ? 'no-such-finding' : 'no-such-alert');

function shelvable(
  view: RiserView,
  command: Extract<RiserCommand, { command: 'shelve' }>,
): Result<undefined, ProblemCode> {
  const meant = alertsMeant(view, command);
  const isFound = found(view, command);
  if (!isFound.ok) return isFound;
  if (meant.some(({ shelvingLimit_s }) => shelvingLimit_s === 0)) return fail('may-not-be-shelved');
  return when(
    meant.every(({ shelvingLimit_s }) => command.forSeconds <= shelvingLimit_s),
    'shelved-too-long',
  );
}

const when = (holds: boolean, otherwise: ProblemCode): Result<undefined, ProblemCode> =>
  holds ? ok(undefined) : fail(otherwise);
