import * as z from 'zod';
import { deadlineTable } from './alert.ts';
import { paging, riserKey } from './basics.ts';
import { commandReceipt } from './command.ts';
import { accountFigures, figuresQuery } from './figures.ts';
import { handOverRequest, handOvers } from './hand-over.ts';
import type { Route } from './route.ts';
import { atTheRiser, json, unsafe } from './route.ts';

const accountKey = z.object({ account: riserKey.shape.account });

/** What people owe alerts, how they fare with them, and how a shift changes hands. */
export const alertRoutes = {
  getDeadlines: {
    method: 'get',
    path: '/api/risers/{account}/{riser}/deadlines',
    summary: 'What is owed an alert of this riser by when, each figure with its source and a caution.',
    access: atTheRiser,
    params: riserKey,
    answer: json(deadlineTable, 'The table that holds for this riser.'),
    problems: ['invalid-request', 'unknown-riser'],
  },
  getFigures: {
    method: 'get',
    path: '/api/accounts/{account}/figures',
    summary: 'How alarms and the answers to them went: in all, by riser, by who had the shift.',
    access: atTheRiser,
    params: accountKey,
    query: figuresQuery,
    answer: json(accountFigures, 'The figures, beside what the literature calls bearable.'),
    problems: ['invalid-request', 'unknown-riser', 'journal-unavailable'],
  },
  listHandOvers: {
    method: 'get',
    path: '/api/accounts/{account}/hand-overs',
    summary: 'The hand-overs of the shift at this account, newest first.',
    access: atTheRiser,
    params: accountKey,
    query: paging,
    answer: json(handOvers, 'A page of hand-overs.'),
    problems: ['invalid-request', 'unknown-riser', 'journal-unavailable'],
  },
  handOver: {
    method: 'post',
    path: '/api/accounts/{account}/hand-overs',
    summary: 'Hand over the shift at this account, with a note; what is open is recorded with it.',
    access: { who: ['operator', 'service-manager'], at: 'riser' },
    params: accountKey,
    body: handOverRequest,
    answer: {
      status: 201,
      contentType: 'application/json',
      schema: commandReceipt,
      description: 'The hand-over is durable in the journal.',
    },
    problems: [...unsafe, 'unknown-riser', 'journal-unavailable'],
  },
} as const satisfies Record<string, Route>;
