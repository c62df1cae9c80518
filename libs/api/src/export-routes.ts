import * as z from 'zod';
import { moment, riserKey } from './basics.ts';
import type { Route } from './route.ts';
import { atTheRiser } from './route.ts';

/** The most lines of one export. A choice of this project: some tens of megabytes; a longer span is asked for in parts. */
export const exportLimit_lines = 50_000;

/** Which span is taken out; without it the whole record. Both ends belong to it. */
const spanQuery = z.object({
  from: moment.optional().meta({ description: "The station's clock." }),
  to: moment.optional(),
});

const problems = ['invalid-request', 'unknown-riser', 'journal-unavailable'] as const;

/** The record of a riser, to be taken away: its events and the messages about its findings, oldest first. */
export const exportRoutes = {
  exportCsv: {
    method: 'get',
    path: '/api/risers/{account}/{riser}/export.csv',
    summary: 'The events and findings of a span as a table.',
    access: atTheRiser,
    params: riserKey,
    query: spanQuery,
    answer: {
      status: 200,
      contentType: 'text/csv',
      description:
        'RFC 4180 with a heading. A cell that a spreadsheet would take for a formula begins with an apostrophe.',
    },
    problems,
  },
  exportNdjson: {
    method: 'get',
    path: '/api/risers/{account}/{riser}/export.ndjson',
    summary: 'The events and findings of a span, one JSON object a line.',
    access: atTheRiser,
    params: riserKey,
    query: spanQuery,
    answer: {
      status: 200,
      contentType: 'application/x-ndjson',
      description:
        'Each line is `{"kind": "event" | "finding", "at": …, "record": …}`; the record as the lists tell it.',
    },
    problems,
  },
} as const satisfies Record<string, Route>;
