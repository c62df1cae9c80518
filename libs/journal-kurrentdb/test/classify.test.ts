import { Metadata, status } from '@grpc/grpc-js';
import { describe, expect, it } from 'vitest';
import { classify } from '../src/classify.ts';
import { AnswerOverdue, AppendRefused, CallEnded, ForeignHistory, StreamContended } from '../src/faults.ts';

/** An error of a call as the transport throws it, with what the server may add in its trailers. */
function callError(code: status, trailers: Readonly<Record<string, string>> = {}): Error {
  const metadata = new Metadata();
  for (const [key, value] of Object.entries(trailers)) metadata.set(key, value);
  return Object.assign(new Error(`${code}`), { code, details: '', metadata });
}

const leader = { 'leader-endpoint-host': '127.0.0.1', 'leader-endpoint-port': '2113' };

describe('an error that may pass', () => {
  it.each([
    ['another node leads', callError(status.NOT_FOUND, { exception: 'not-leader', ...leader })],
    ['the node is gone', callError(status.UNAVAILABLE)],
    ['the server cancelled the call', callError(status.CANCELLED)],
    ['the deadline of a call passed', callError(status.DEADLINE_EXCEEDED)],
    ['the server timed out', callError(status.ABORTED)],
    ['the server failed within', callError(status.INTERNAL)],
    ['the server does not know why', callError(status.UNKNOWN)],
    ['our own timer ran out', new AnswerOverdue(100)],
    ['the server ended the call quietly', new CallEnded('append')],
    ['the write timed out at the server', new AppendRefused('Timeout', '')],
    ['the write failed for an unknown reason', new AppendRefused('Unknown', '')],
    ['the server is not ready', new AppendRefused('Empty', 'Server Is Not Ready')],
    ['no node of the cluster answered the client', new Error('Failed to discover after 10 attempts.')],
  ])('is that %s', (_, error) => {
    expect(classify(error)).toBe('passing');
  });
});

describe('an error that trying again cannot help', () => {
  it.each([
    ['the user may not', callError(status.PERMISSION_DENIED, { exception: 'access-denied' })],
    ['the user is not known', callError(status.UNAUTHENTICATED)],
    ['the server does not have the method', callError(status.UNIMPLEMENTED)],
    ['the request makes no sense', callError(status.INVALID_ARGUMENT)],
    [
      'the stream is deleted',
      callError(status.FAILED_PRECONDITION, { exception: 'stream-deleted', 'stream-name': 'x' }),
    ],
    ['the append may not be written', new AppendRefused('AccessDenied', '')],
    ['the append is to a deleted stream', new AppendRefused('StreamDeleted', '')],
    ['the append is too large', new AppendRefused('MaximumAppendSizeExceeded', '')],
    ['the append makes no sense', new AppendRefused('BadRequest', '')],
    ['others write faster', new StreamContended('x', 3)],
    ['the history is not ours', new ForeignHistory('x', 1n, 'foreign')],
    ['something is wrong with the code', new TypeError('undefined is not a function')],
    ['something other than an error was thrown', 'text'],
  ])('is that %s', (_, error) => {
    expect(classify(error)).toBe('refused');
  });
});

describe('an error that means the stream is elsewhere', () => {
  const trailers = {
    exception: 'wrong-expected-version',
    'stream-name': 'x',
    'expected-version': '1',
    'actual-version': '2',
  };

  it.each([
    ['within a batch', new AppendRefused('WrongExpectedVersion', '')],
    ['as the error of a call', callError(status.FAILED_PRECONDITION, trailers)],
  ])('comes %s', (_, error) => {
    expect(classify(error)).toBe('wrong-expected-revision');
  });
});
