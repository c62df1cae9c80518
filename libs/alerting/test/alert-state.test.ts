import { describe, expect, it } from 'vitest';
import type { AlertEvent } from '@tidemark/alerting';
import { nextAlertState } from '@tidemark/alerting';
import type { AlertState } from '@tidemark/words';

/** Rows of ANSI/ISA-18.2-2016 / IEC 62682 for an alert that does not latch (FACTS 6.01 to 6.04, 6.12; arrows from memory). */
const rows: readonly (readonly [AlertState, AlertEvent, AlertState])[] = [
  ['normal', 'condition-on', 'unacknowledged'],
  ['unacknowledged', 'acknowledge', 'acknowledged'],
  ['acknowledged', 'condition-off', 'normal'],
  ['unacknowledged', 'condition-off', 'returned-unacknowledged'],
  ['returned-unacknowledged', 'acknowledge', 'normal'],
  ['returned-unacknowledged', 'condition-on', 'unacknowledged'],
  ['acknowledged', 'acknowledge', 'acknowledged'],
  ['normal', 'acknowledge', 'normal'],
];

describe('an alert', () => {
  it.each(rows)('that is %s, on %s, becomes %s', (before, event, after) => {
    expect(nextAlertState(before, event)).toBe(after);
  });
});
