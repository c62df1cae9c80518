import { formatContactId } from '@tidemark/signals';
import type { SignalContent, SignalName } from '@tidemark/signals';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checksum, parseBlock } from '../src/contact-id-block.ts';
import { installed, receive, receivedAt, rejectionOf, signalOf } from './message.ts';
import { key } from './signal-arbitrary.ts';

/**
 * ANSI/SIA DC-05-1999.09, checksum rule as in public write-ups; the first three blocks are the standard's own style of
 * example as those repeat it, the rest were computed independently of this code (FACTS 5A.04).
 */
const worked = [
  ['1234 18 1131 01 015', '8'],
  ['1234 18 3131 01 015', '6'],
  ['6556 18 3402 01 015', 'D'],
  ['1234 18 1113 01 001', '3'],
  ['1234 18 3113 01 001', '1'],
  ['1234 18 6113 01 001', 'D'],
  ['1234 18 1203 01 002', '7'],
  ['1234 18 3203 01 002', '5'],
  ['1234 18 1201 01 003', '8'],
  ['1234 18 1115 01 005', 'C'],
  ['1234 18 1117 01 008', '7'],
  ['1234 18 1305 00 000', '2'],
  ['1234 18 1354 00 000', '8'],
  ['1234 18 1320 01 009', 'F'],
  ['1234 18 1113 01 009', '0'],
] as const;

/** A block of the test's own making; the checksum rows above vouch for `checksum`. */
const block = (digits: string): string => digits + checksum(digits.replaceAll(' ', ''));

const report = (text: string, own = installed) =>
  receive(text, { contentType: 'application/vnd.contact-id', installed: own });

const said = (text: string, own = installed) => {
  const { content, point } = signalOf(report(text, own));
  return [content.name, content.kind === 'contact' ? content.state : content.kind, point];
};

describe('the checksum of Contact ID', () => {
  it.each(worked)('of %s is %s', (digits, expected) => {
    expect(checksum(digits.replaceAll(' ', ''))).toBe(expected);
    expect(parseBlock(`${digits} ${expected}`).ok).toBe(true);
  });

  it.each(worked)('of %s is refused when it is any other digit', (digits, right) => {
    const wrong = Array.from('0123456789BCDEF').filter((digit) => digit !== right);

    for (const digit of wrong)
      expect(parseBlock(`${digits}${digit}`)).toEqual({ ok: false, failure: 'wrong-checksum' });
  });

  it('refuses the negative example, 1234 18 1113 01 001 with 4', () => {
    expect(rejectionOf(report('1234 18 1113 01 001 4')).reason).toBe('wrong-checksum');
  });

  it('takes A for 0, in the checksum and elsewhere', () => {
    expect(parseBlock('1234 18 1113 01 009 A')).toEqual(parseBlock('1234 18 1113 01 009 0'));
    expect(parseBlock('6556 18 34A2 A1 A15 D')).toEqual(parseBlock('6556 18 3402 01 015 D'));
  });
});

describe('a Contact ID block', () => {
  it('is a signal without clock or identity of its own', () => {
    expect(signalOf(report('1234 18 1113 01 003 1'))).toEqual({
      key,
      source: '/quayside-cold-store/deluge-1',
      id: 'contact-id 2026-03-02T08:14:08.000Z 1234 18 1113 01 003 1',
      observedAt: undefined,
      sequence: undefined,
      point: 3,
      text: 'Contact ID 1234 18 1113 01 003 1',
      content: { kind: 'contact', name: 'waterflow', state: 'active' },
      form: 'contact-id',
    });
  });

  it.each(['1234181113010031', '1234 18 1113 01 003 1', '1234 18 1 113 01 003 1\r\n', ' 123418 1113 01003 1'])(
    'reads %j the same, with a content type and without',
    (text) => {
      const expected = signalOf(report('1234 18 1113 01 003 1'));

      expect(signalOf(report(text))).toEqual(expected);
      expect(signalOf(receive(text))).toEqual(expected);
    },
  );

  it('reads small letters', () => {
    expect(signalOf(receive(block('1234 18 3113 01 006 ').toLowerCase()))).toEqual(
      signalOf(receive(block('1234 18 3113 01 006 '))),
    );
    expect(block('1234 18 3113 01 006 ')).toMatch(/[BCDEF]$/);
  });

  it.each([
    [block('1234 17 1113 01 003 '), 'malformed-contact-id', 'MT'],
    [block('1234 18 2113 01 003 '), 'malformed-contact-id', 'Q:'],
    [block('1234 18 1113 01 0B3 '), 'malformed-contact-id', 'CCC'],
    ['1234 18 1113 01 003', 'malformed-contact-id', 'sixteen'],
    ['', 'empty-payload', 'empty'],
    [block('4321 18 1113 01 003 '), 'wrong-account', '1234'],
    [block('1234 18 1299 01 003 '), 'code-not-mapped', '299'],
    [block('1234 18 1118 01 003 '), 'code-not-mapped', 'near alarm'],
    [block('1234 18 1154 01 003 '), 'code-not-mapped', 'water leakage'],
    [block('1234 18 1B13 01 003 '), 'code-not-mapped', 'B13'],
    [block('1234 18 3305 00 000 '), 'code-not-mapped', 'reset'],
    [block('1234 18 6602 00 000 '), 'code-not-mapped', 'periodic-test'],
  ])('%s is refused as %s, naming %s', (text, reason, named) => {
    const rejection = rejectionOf(report(text));

    expect(rejection.reason).toBe(reason);
    expect(rejection.detail).toContain(named);
    expect(rejection.key).toEqual(key);
  });

  it('of any account is read where the profile names none, and 98 is as good as 18', () => {
    expect(said(block('4321 98 1113 01 003 '), { points: installed.points })).toEqual(['waterflow', 'active', 3]);
  });

  it('of an account with a zero is the same account with an A', () => {
    const own = { ...installed, contactIdAccount: '1a34' };

    expect(said(block('1034 18 1113 01 003 '), own)).toEqual(['waterflow', 'active', 3]);
  });

  it.each([
    ['1', 'active'],
    ['3', 'restored'],
    ['6', 'active'],
  ])('with qualifier %s is %s', (qualifier, state) => {
    expect(said(block(`1234 18 ${qualifier}113 01 003 `))).toEqual(['waterflow', state, 3]);
  });

  it('from the same record has the same id whenever it is read', () => {
    expect(signalOf(report('1234 18 1113 01 003 1')).id).toBe(signalOf(receive('1234181113010031')).id);
    expect(signalOf(report('1234 18 1113 01 003 1')).id).toContain(new Date(receivedAt).toISOString());
  });
});

describe('an event code', () => {
  it.each<[string, string, string, number | undefined]>([
    ['1110 01 000', 'initiating', 'active', undefined],
    ['1111 01 009', 'smoke', 'active', 9],
    ['1112 01 009', 'initiating', 'active', 9],
    ['1114 01 002', 'heat', 'active', 2],
    ['1115 01 001', 'manual-pull', 'active', 1],
    ['1116 01 009', 'smoke', 'active', 9],
    ['1117 01 009', 'flame', 'active', 9],
    ['1159 01 009', 'low-temperature', 'active', 9],
    ['1200 00 000', 'panel-supervisory', 'active', undefined],
    ['1300 00 000', 'panel-fault', 'active', undefined],
    ['1301 00 000', 'ac-power', 'active', undefined],
    ['3301 00 000', 'ac-power', 'restored', undefined],
    ['1302 00 000', 'battery', 'active', undefined],
    ['1305 00 000', 'reset', 'act', undefined],
    ['1310 00 000', 'earth-fault', 'active', undefined],
    ['1320 01 009', 'release-circuit', 'active', 9],
    ['1321 01 001', 'panel-fault', 'active', 1],
    ['1350 00 000', 'communication', 'active', undefined],
    ['1354 00 000', 'communication', 'active', undefined],
    ['1373 01 002', 'initiating-circuit', 'active', 2],
    ['1602 00 000', 'periodic-test', 'periodic-test', undefined],
    ['1608 00 000', 'periodic-test', 'periodic-test', undefined],
    ['1607 00 012', 'test-mode', 'active', undefined],
    ['3607 00 012', 'test-mode', 'restored', undefined],
    ['1912 00 000', 'silence', 'act', undefined],
  ])('%s is %s %s', (digits, name, state, point) => {
    expect(said(block(`1234 18 ${digits} `))).toEqual([name, state, point]);
  });

  it.each<[string, SignalName]>([
    ['1110 01 001', 'manual-pull'],
    ['1110 01 003', 'waterflow'],
    ['1110 01 006', 'solenoid'],
    ['1200 01 007', 'release-disconnect'],
    ['1201 01 005', 'prime-pressure-low'],
    ['1203 01 004', 'supply-valve'],
  ])('%s is what the point list says of its class: %s', (digits, name) => {
    expect(said(block(`1234 18 ${digits} `))[0]).toBe(name);
  });

  it.each<[string, readonly SignalName[], SignalName]>([
    ['201', ['prime-pressure-low'], 'prime-pressure-low'],
    ['201', ['supply-pressure-low'], 'supply-pressure-low'],
    ['201', [], 'supply-pressure-low'],
    ['201', ['supply-pressure-low', 'prime-pressure-low'], 'supply-pressure-low'],
    ['203', ['prime-valve'], 'prime-valve'],
    ['203', ['prime-valve', 'supply-valve'], 'supply-valve'],
  ])('%s without a zone, where %j are installed, is %s', (code, signals, name) => {
    const own = { points: signals.map((signal, index) => ({ point: index + 1, signal })) };

    expect(said(block(`1234 18 1${code} 01 000 `), own)).toEqual([name, 'active', undefined]);
  });

  it('of another class than the point keeps its own signal, so that the mistake is seen', () => {
    expect(said(block('1234 18 1203 01 003 '))).toEqual(['supply-valve', 'active', 3]);
    expect(said(block('1234 18 1113 01 004 '))).toEqual(['waterflow', 'active', 4]);
  });
});

describe('writing Contact ID', () => {
  const points = [...new Map<SignalName, number>(installed.points.map(({ point, signal }) => [signal, point]))];
  const contacts = fc.constantFrom(...points).chain(([name, point]) =>
    fc.constantFrom('active' as const, 'restored' as const).map((state) => ({
      content: { kind: 'contact', name, state } as SignalContent,
      point,
    })),
  );
  const acts = fc.constantFrom<{ readonly content: SignalContent }>(
    { content: { kind: 'act', name: 'reset' } },
    { content: { kind: 'act', name: 'silence' } },
    { content: { kind: 'periodic-test', name: 'periodic-test' } },
    { content: { kind: 'contact', name: 'test-mode', state: 'active' } },
    { content: { kind: 'contact', name: 'panel-supervisory', state: 'restored' } },
    { content: { kind: 'contact', name: 'earth-fault', state: 'active' } },
  );

  it('reads back as the same signal of the same point', () => {
    fc.assert(
      fc.property(fc.oneof(contacts, acts), fc.stringMatching(/^[0-9B-F]{4}$/), (signal, account) => {
        const text = formatContactId({ account, ...signal });
        const read = signalOf(report(text.ok ? text.value : '', { ...installed, contactIdAccount: account }));

        expect({ content: read.content, point: read.point }).toEqual({ point: undefined, ...signal });
      }),
      { seed: 2 },
    );
  });

  it('writes the worked example', () => {
    const content = { kind: 'contact', name: 'waterflow', state: 'active' } as const;

    expect(formatContactId({ account: '1234', content, point: 1 })).toEqual({
      ok: true,
      value: '1234 18 1113 01 001 3',
    });
  });

  it.each<[SignalContent, string, number | undefined, string]>([
    [{ kind: 'reading', name: 'flow', si: 1, value: 1, unit: 'm3/s' }, '1234', undefined, 'no-event-code'],
    [{ kind: 'contact', name: 'panel-alarm', state: 'active' }, '1234', undefined, 'no-event-code'],
    [{ kind: 'act', name: 'reset' }, '12A4', undefined, 'malformed-account'],
    [{ kind: 'act', name: 'reset' }, '123', undefined, 'malformed-account'],
    [{ kind: 'contact', name: 'heat', state: 'active' }, '1234', 1000, 'point-out-of-range'],
    [{ kind: 'contact', name: 'heat', state: 'active' }, '1234', 0, 'point-out-of-range'],
  ])('refuses %j of account %s, point %s as %s', (content, account, point, failure) => {
    expect(formatContactId({ account, content, ...(point === undefined ? {} : { point }) })).toEqual({
      ok: false,
      failure,
    });
  });
});
