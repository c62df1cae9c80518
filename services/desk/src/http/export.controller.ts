import type { ServerResponse } from 'node:http';
import type { RiserKey } from '@tidemark/api';
import { exportLimit_lines, riserKey, routes } from '@tidemark/api';
import { Controller, Get, Inject, Param, Query, Res } from '@nestjs/common';
import type { Viewer } from '../access/viewer.ts';
import { Who } from '../access/viewer.ts';
import { positionsFor, withPositions } from '../access/wire-positions.ts';
import type { DeskPorts } from '../ports.ts';
import type { ExportLine, Span } from '../reading/exports.ts';
import { asCsv, asNdjson, exportLines } from '../reading/exports.ts';
import { nestPath } from './desk-address.ts';
import { Refused } from './refused.ts';
import { DESK_PORTS } from './tokens.ts';

/** The record of a riser as a file. */
@Controller()
export class ExportController {
  readonly #ports: DeskPorts;

  constructor(@Inject(DESK_PORTS) ports: DeskPorts) {
    this.#ports = ports;
  }

  @Get(nestPath(routes.exportCsv))
  async csv(
    @Param({ schema: riserKey }) key: RiserKey,
    @Query({ schema: routes.exportCsv.query }) span: Span,
    @Res({ passthrough: true }) response: ServerResponse,
  ): Promise<string> {
    const text = asCsv(await this.#lines(key, span));
    asFile(response, routes.exportCsv.answer.contentType, `${key.account}-${key.riser}.csv`);
    return text;
  }

  /** The positions in its lines are told in the form that is this person's: the text passes no interceptor. */
  @Get(nestPath(routes.exportNdjson))
  async ndjson(
    @Who() { accounts }: Viewer,
    @Param({ schema: riserKey }) key: RiserKey,
    @Query({ schema: routes.exportNdjson.query }) span: Span,
    @Res({ passthrough: true }) response: ServerResponse,
  ): Promise<string> {
    const { write } = positionsFor(accounts);
    const lines = (await this.#lines(key, span)).map((line) => withPositions(line, write) as object);
    asFile(response, routes.exportNdjson.answer.contentType, `${key.account}-${key.riser}.ndjson`);
    return asNdjson(lines);
  }

  async #lines(key: RiserKey, span: Span): Promise<readonly ExportLine[]> {
    const { journal, views } = this.#ports;
    const view = views.view(key);
    if (view === undefined) throw new Refused('unknown-riser');
    const labels = new Map(
      view.points.flatMap(({ point, label }) => (point === undefined ? [] : [[point, label] as const])),
    );
    const lines = await exportLines(journal, key, span, labels);
    if (lines.ok) return lines.value;
    throw new Refused('invalid-request', {
      issues: [{ path: 'from', message: `expected a span of at most ${exportLimit_lines} lines; ask for it in parts` }],
    });
  }
}

/** Account and riser are plain words by their schema, so the name needs no escaping. */
function asFile(response: ServerResponse, contentType: string, name: string): void {
  response.setHeader('content-type', `${contentType}; charset=utf-8`);
  response.setHeader('content-disposition', `attachment; filename="${name}"`);
}
