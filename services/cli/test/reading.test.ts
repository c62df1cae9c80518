import { PassThrough } from 'node:stream';
import { instant } from '@tidemark/kernel';
import type { Finding } from '@tidemark/reasoning';
import { describe, expect, it } from 'vitest';
import { paintFor } from '../src/paint.ts';
import { newsText } from '../src/replay/news-text.ts';
import { siteClock } from '../src/site-clock.ts';

const terminal = (isTTY: boolean, environment: Readonly<Record<string, string>>) =>
  paintFor({
    out: Object.assign(new PassThrough(), { isTTY }),
    err: new PassThrough(),
    environment,
    now: () => at,
    stop: new AbortController().signal,
  });

const at = instant(Date.UTC(2026, 2, 2, 8, 14, 7, 120));
const finding: Finding = {
  id: 'f1',
  code: 'flow-without-release',
  riser: 'quay/deluge-1',
  severity: 'critical',
  status: 'raised',
  alertState: 'unacknowledged',
  at,
  raisedAt: at,
  evidence: [],
  explanation: 'Water is reported\nwith \u001b[32mno release\u001b[0m.',
  causes: [],
  advice: '',
  caution: '',
};
const shown = (paint: ReturnType<typeof terminal>) =>
  newsText({ kind: 'finding', finding }, { clock: siteClock('Europe/Oslo'), paint });

describe('a finding as a person reads it', () => {
  const plain = 'raised       critical flow-without-release: Water is reported with  [32mno release [0m.';

  it('is one line that no text can break or colour', () => {
    expect(shown(terminal(false, {}))).toBe(`2026-03-02 09:14:07.120 GMT+1  ${plain}`);
  });

  it('has a colour on a terminal only, and there only when NO_COLOR and a dumb terminal do not say otherwise', () => {
    const coloured = plain.replace('critical flow-without-release', '\u001b[31mcritical flow-without-release\u001b[0m');

    expect(shown(terminal(true, {}))).toContain(coloured);
    expect(shown(terminal(true, { NO_COLOR: '1' }))).toContain(plain);
    expect(shown(terminal(true, { TERM: 'dumb' }))).toContain(plain);
    expect(shown(terminal(true, { NO_COLOR: '' }))).toContain(coloured);
  });
});

describe('the clock of a site', () => {
  it('shows the hour that summer time repeats as two different ones', () => {
    // Central European Summer Time ends on 25 October 2026 at 01:00 UTC (Directive 2000/84/EC, articles 2 and 3).
    const clock = siteClock('Europe/Oslo');
    const before = instant(Date.UTC(2026, 9, 25, 0, 30));
    const after = instant(Date.UTC(2026, 9, 25, 1, 30));

    expect([clock.show(before), clock.show(after)]).toEqual([
      '2026-10-25 02:30:00.000 GMT+2',
      '2026-10-25 02:30:00.000 GMT+1',
    ]);
  });

  it('is as wide as its blank', () => {
    expect(siteClock('Europe/Oslo').blank).toHaveLength(siteClock('Europe/Oslo').show(at).length);
  });
});
