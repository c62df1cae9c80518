import { convertToCommandError, isCommandError } from '@eventstore/db-client';
import { status } from '@grpc/grpc-js';
import { AnswerOverdue, AppendRefused, CallEnded } from './faults.ts';

/**
 * What a failed call means for who asked.
 *
 * `wrong-expected-revision`: the stream is elsewhere; look and decide anew. `passing`: it is not known whether it was
 * done; try again, an append with the same ids and revision, which the server then takes for the same. `refused`:
 * trying again cannot help.
 */
export type Verdict = 'wrong-expected-revision' | 'passing' | 'refused';

/** Classifies whatever the client, its transport or this adapter's own timers throw. What nobody knows may pass. */
export function classify(error: unknown): Verdict {
  if (error instanceof AnswerOverdue || error instanceof CallEnded) return 'passing';
  if (error instanceof AppendRefused) return verdictOfRefusal[error.refusal] ?? 'passing';
  if (!(error instanceof Error)) return 'refused';
  const known = convertToCommandError(error);
  if (isCommandError(known))
    return verdictOfType[known.type] ?? verdictOfCode[known.code ?? status.UNKNOWN] ?? 'passing';
  return isDiscoveryFailure(error) ? 'passing' : 'refused';
}

/** Types of the server's answers within a batch append. `Empty` is how it says that it is not ready or busy. */
const verdictOfRefusal: Readonly<Record<string, Verdict>> = {
  WrongExpectedVersion: 'wrong-expected-revision',
  StreamDeleted: 'refused',
  AccessDenied: 'refused',
  MaximumAppendSizeExceeded: 'refused',
  MaximumAppendEventSizeExceeded: 'refused',
  BadRequest: 'refused',
  InvalidTransaction: 'refused',
};

/** Types the client gives to errors of a whole call. */
const verdictOfType: Readonly<Record<string, Verdict>> = {
  'wrong-expected-version': 'wrong-expected-revision',
  'stream-deleted': 'refused',
  'access-denied': 'refused',
  'maximum-append-size-exceeded': 'refused',
  'missing-required-metadata-property': 'refused',
  'invalid-argument': 'refused',
  'invalid-transaction': 'refused',
  unsupported: 'refused',
};

/** Codes of errors that the client has no type for. */
const verdictOfCode: Readonly<Record<number, Verdict>> = {
  [status.INVALID_ARGUMENT]: 'refused',
  [status.PERMISSION_DENIED]: 'refused',
  [status.UNAUTHENTICATED]: 'refused',
  [status.UNIMPLEMENTED]: 'refused',
  [status.OUT_OF_RANGE]: 'refused',
};

/** The client has no type for finding no node of a cluster that answers. */
const isDiscoveryFailure = (error: Error): boolean => error.message.startsWith('Failed to discover after');
