import { describe, expect, it } from 'vitest';
import { example, receive, rejectionOf, signalOf } from './message.ts';

const changed = (attribute: string, value: unknown) => receive({ ...example, [attribute]: value });

/** CloudEvents 1.0, spec.md, "Required Attributes" (FACTS 7.20). */
describe('a required attribute', () => {
  it.each(['specversion', 'id', 'source', 'type'])('%s may be neither missing, null, empty nor a number', (name) => {
    for (const value of [undefined, null, '', 7]) {
      const { reason, detail } = rejectionOf(changed(name, value));

      expect(['not-a-cloud-event', 'unsupported-type']).toContain(reason);
      expect(detail).toContain(`At ${name}: expected`);
    }
  });

  it.each(['0.3', '1', '1.0.2', '2.0'])('specversion may not be %s', (specversion) => {
    expect(rejectionOf(changed('specversion', specversion)).reason).toBe('not-a-cloud-event');
  });

  it.each(['com.example.object.deleted.v2', 'riser.signal.v2', 'riser.command.v1', 'riser.link.v1'])(
    'type %s is an event of somebody else',
    (type) => {
      expect(rejectionOf(changed('type', type))).toMatchObject({
        reason: 'unsupported-type',
        detail: 'At type: expected "riser.signal.v1".',
      });
    },
  );

  it('source is a URI reference', () => {
    for (const source of ['/quayside-cold-store/panel 2', '/quayside-cold-store/é', '/quayside-cold-store/%zz'])
      expect(rejectionOf(changed('source', source)).reason).toBe('not-a-cloud-event');
    expect(rejectionOf(changed('source', `/quayside-cold-store/${'x'.repeat(1_024)}`)).detail).toBe(
      'At source: expected 1024 characters or less.',
    );
    expect(signalOf(changed('source', '/quayside-cold-store/%C3%A9')).source).toBe('/quayside-cold-store/%C3%A9');
  });

  it('id may be any text but control characters and halves of surrogate pairs', () => {
    for (const id of ['A234-1234-1234', ' ', 'ø\u{1f525}', '0', 'x'.repeat(1024)])
      expect(signalOf(changed('id', id)).id).toBe(id);
    for (const id of ['a\nb', '\u0000', '\u0085', '\u007f', '\udc00', 'x'.repeat(1025)])
      expect(rejectionOf(changed('id', id)).reason).toBe('not-a-cloud-event');
  });
});

describe('an optional attribute', () => {
  it.each(['subject', 'time', 'datacontenttype', 'dataschema', 'sequence', 'receivedtime', 'unknownextension'])(
    '%s that is null counts as left out (CloudEvents JSON format, 2.2)',
    (name) => {
      expect(changed(name, null)).toEqual(changed(name, undefined));
      expect(changed(name, null).ok).toBe(true);
    },
  );

  it.each(['application/json', 'application/json; charset=utf-8', 'application/vnd.riser+json'])(
    'datacontenttype may be %s',
    (type) => {
      expect(changed('datacontenttype', type).ok).toBe(true);
    },
  );

  it.each(['text/xml', 'application/xml', '', 'json'])('datacontenttype may not be %j: the data is JSON', (type) => {
    expect(rejectionOf(changed('datacontenttype', type)).reason).toBe('not-a-cloud-event');
  });

  it('sequence is decimal digits in a string, and counts as a number', () => {
    expect(signalOf(changed('sequence', '0000000010')).sequence).toBe(10n);
    expect(signalOf(changed('sequence', '9'.repeat(40))).sequence).toBe(10n ** 40n - 1n);
    for (const sequence of ['', '-1', '+1', '1.0', '0x1', ' 1', '١', '9'.repeat(41), 10])
      expect(rejectionOf(changed('sequence', sequence)).reason).toBe('not-a-cloud-event');
  });
});

/** CloudEvents 1.0, "Naming Conventions" and "Type System". */
describe('an extension attribute', () => {
  it.each(['text', '', 7, -2_147_483_648, 2_147_483_647, true])('we do not know is let through: %j', (value) => {
    expect(changed('traceparent', value)).toEqual(receive(example));
  });

  it.each([{}, [], 1.5, 2_147_483_648, 'a\nb'])('may not hold %j', (value) => {
    expect(rejectionOf(changed('traceparent', value)).reason).toBe('not-a-cloud-event');
  });

  it.each(['traceParent', 'trace-parent', 'trace_parent', '', 'data_base64', 'tracé'])(
    'may not be named %j',
    (name) => {
      expect(rejectionOf(changed(name, 'x'))).toMatchObject({
        reason: 'not-a-cloud-event',
        detail: 'Expected attribute names of a-z and 0-9 only.',
      });
    },
  );
});

/** Events of the specification itself, from memory of spec.md and json-format.md: valid CloudEvents, no signals. */
describe('the specification’s own examples', () => {
  const appinfo = {
    specversion: '1.0',
    type: 'com.github.pull_request.opened',
    source: 'https://github.com/cloudevents/spec/pull',
    subject: '123',
    id: 'A234-1234-1234',
    time: '2018-04-05T17:31:00Z',
    comexampleextension1: 'value',
    comexampleothervalue: 5,
    datacontenttype: 'text/xml',
    data: '<much wow="xml"/>',
  };

  it('are refused for their type, before anything else about them', () => {
    expect(rejectionOf(receive(appinfo)).reason).toBe('unsupported-type');
    expect(
      rejectionOf(
        receive({ ...appinfo, datacontenttype: 'application/json', data: { appinfoA: 'abc', appinfoB: 123 } }),
      ).reason,
    ).toBe('unsupported-type');
  });
});

/** RFC 3339, 5.8, from memory; the millisecond values were worked out by hand from UTC. */
describe('a time', () => {
  it.each([
    ['1985-04-12T23:20:50.52Z', Date.UTC(1985, 3, 12, 23, 20, 50, 520)],
    ['1996-12-19T16:39:57-08:00', Date.UTC(1996, 11, 20, 0, 39, 57)],
    ['1990-12-31T23:59:60Z', Date.UTC(1991, 0, 1)],
    ['1990-12-31T15:59:60-08:00', Date.UTC(1991, 0, 1)],
    ['1937-01-01T12:00:27.87+00:20', Date.UTC(1937, 0, 1, 11, 40, 27, 870)],
  ])('of RFC 3339 is read: %s', (time, expected) => {
    expect(signalOf(changed('time', time)).observedAt).toBe(expected);
  });

  it.each([
    '',
    '2026-03-02',
    '2026-03-02T08:14:07',
    '2026-03-02 08:14:07Z',
    '2026-02-29T00:00:00Z',
    '2026-13-01T00:00:00Z',
    '2026-03-02T24:00:00Z',
    '2026-03-02T08:14:60Z',
    '2026-03-02T08:14:07+0100',
    '02 Mar 2026 08:14:07 GMT',
    1_772_439_247,
  ])('is refused when it is %j', (time) => {
    expect(rejectionOf(changed('time', time)).reason).toBe('not-a-cloud-event');
  });
});
