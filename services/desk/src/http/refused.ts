import type { Problem, ProblemCode } from '@tidemark/api';
import { problemCodes, problemOf } from '@tidemark/api';
import { HttpException } from '@nestjs/common';

/** A request that is refused, on its way to the problem filter. */
export class Refused extends HttpException {
  readonly problem: Problem;

  constructor(code: ProblemCode, more: Pick<Problem, 'detail' | 'issues'> = {}) {
    super(problemCodes[code].title, problemCodes[code].status);
    this.problem = problemOf(code, more);
  }
}
