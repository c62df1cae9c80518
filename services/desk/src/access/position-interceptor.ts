import type { CallHandler, ExecutionContext, NestInterceptor } from '@nestjs/common';
import type { Observable } from 'rxjs';
import { map } from 'rxjs';
import type { SeenRequest } from './viewer.ts';
import { positionsFor, withPositions } from './wire-positions.ts';

/** Tells journal positions in the form that is this person's, on whichever route they stand. The live stream does it itself. */
export class PositionInterceptor implements NestInterceptor {
  intercept(context: ExecutionContext, next: CallHandler): Observable<unknown> {
    const { viewer } = context.switchToHttp().getRequest<SeenRequest>();
    if (viewer === undefined || viewer.accounts === 'all') return next.handle();
    const { write } = positionsFor(viewer.accounts);
    return next.handle().pipe(map((answer) => withPositions(answer, write)));
  }
}
