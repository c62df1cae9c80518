import type { ServerResponse } from 'node:http';
import type { Problem } from '@tidemark/api';
import { problemContentType, problemOf } from '@tidemark/api';
import type { ArgumentsHost, ExceptionFilter } from '@nestjs/common';
import { Catch, HttpException, Logger } from '@nestjs/common';
import { JournalUnavailable } from '@tidemark/journal';
import { InvariantViolated } from '@tidemark/kernel';
import { Refused } from './refused.ts';

/** Words every failure as a problem after RFC 9457. What is not ours to tell stays in the log. */
@Catch()
export class ProblemFilter implements ExceptionFilter {
  readonly #log = new Logger('desk');

  catch(thrown: unknown, host: ArgumentsHost): void {
    const response = host.switchToHttp().getResponse<ServerResponse>();
    const problem = problemFor(thrown);
    if (problem.status >= 500) this.#log.error(`${problem.code}: ${textOf(thrown)}`);
    if (response.headersSent) response.destroy();
    else sendProblem(response, problem);
    // A bug is never caught: it is told, and then ends the process as it would anywhere else.
    if (thrown instanceof InvariantViolated)
      setImmediate(() => {
        throw thrown;
      });
  }
}

/** Answers with a problem. */
export function sendProblem(response: ServerResponse, problem: Problem): void {
  response.writeHead(problem.status, { 'content-type': problemContentType, 'cache-control': 'no-store' });
  response.end(JSON.stringify(problem));
}

function problemFor(thrown: unknown): Problem {
  if (thrown instanceof Refused) return thrown.problem;
  if (thrown instanceof JournalUnavailable) return problemOf('journal-unavailable');
  const status = statusOf(thrown);
  if (status === 404 || status === 405) return problemOf('unknown-route');
  if (status === 413) return problemOf('body-too-large');
  if (status === 415) return problemOf('unsupported-content-type');
  if (status !== undefined && status >= 400 && status < 500)
    return problemOf('invalid-request', { detail: 'The body or the address cannot be read.' });
  return problemOf('internal-fault');
}

/** Nest's own exceptions know their status by a method; those of the body reader carry it as a property. */
function statusOf(thrown: unknown): number | undefined {
  if (thrown instanceof HttpException) return thrown.getStatus();
  if (typeof thrown !== 'object' || thrown === null || !('statusCode' in thrown)) return undefined;
  return typeof thrown.statusCode === 'number' ? thrown.statusCode : undefined;
}

const textOf = (thrown: unknown): string =>
  thrown instanceof Error ? (thrown.stack ?? thrown.message) : String(thrown);
