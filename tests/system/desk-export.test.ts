import { riserEvent } from '@tidemark/api';
import type { OpenDesk } from '@tidemark/desk';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { deskOver } from '../browser/fixtures/browser.ts';
import { giveCommand, send } from '../browser/fixtures/desk-client.ts';
import { sessionOf } from '../browser/fixtures/logged-in.ts';
import type { MemoryStation } from '../browser/fixtures/memory-station.ts';
import { deluge1 } from '../browser/fixtures/quayside-story.ts';
import { foreign, foreignWords, twoAccounts } from '../browser/fixtures/two-accounts.ts';

let station: MemoryStation;
let desk: OpenDesk;

beforeEach(async () => {
  station = await twoAccounts();
  desk = await deskOver(station);
});

afterEach(() => desk.close());

const riserUrl = (more: string, { account, riser } = deluge1): string =>
  `${desk.url}/api/risers/${account}/${riser}${more}`;

interface Line {
  readonly kind: string;
  readonly at: string;
  readonly record: { readonly position: string };
}

const lines = (body: unknown): readonly Line[] =>
  String(body)
    .trimEnd()
    .split('\n')
    .map((line) => JSON.parse(line) as Line);

describe('an export', () => {
  it('holds every event and finding of the span, oldest first, as the lists tell them', async () => {
    const { status, headers, body } = await send(riserUrl('/export.ndjson'));
    const listed = (await send(riserUrl('/events?limit=500'))).body as { readonly items: readonly object[] };

    expect([status, headers['content-type'], headers['content-disposition']]).toEqual([
      200,
      'application/x-ndjson; charset=utf-8',
      'attachment; filename="quayside-cold-store-deluge-1.ndjson"',
    ]);
    const events = lines(body).filter(({ kind }) => kind === 'event');
    expect(events.map(({ record }) => riserEvent.parse(record))).toEqual(listed.items.toReversed());
    expect(lines(body).filter(({ kind }) => kind === 'finding')).toHaveLength(1);
    expect(lines(body).map(({ at }) => at)).toEqual(
      lines(body)
        .map(({ at }) => at)
        .toSorted(),
    );
  });

  it('keeps to its span, both ends included', async () => {
    const span = '?from=2026-03-02T06:57:07.500Z&to=2026-03-02T06:57:08.700Z';
    const { body } = await send(riserUrl(`/export.ndjson${span}`));

    expect(lines(body).map(({ at }) => at.slice(11, 23))).toEqual([
      '06:57:07.500',
      '06:57:07.620',
      '06:57:07.800',
      '06:57:08.080',
      '06:57:08.700',
    ]);
    expect((await send(riserUrl('/export.csv?from=yesterday'))).status).toBe(400);
  });

  it('is a table that runs no formula and loses no comma, quote or author', async () => {
    await giveCommand(riserUrl('/commands'), { command: 'note', text: 'Gate 2, "north"' });
    const { headers, body } = await send(riserUrl('/export.csv'));
    const rows = String(body).split('\r\n');

    expect(headers['content-type']).toBe('text/csv; charset=utf-8');
    expect(rows[0]).toBe('kind,received_or_raised_at,panel_clock,what,state,point,label,by_or_source,detail,id');
    expect(rows).toContainEqual(expect.stringMatching(/^event,.*,waterflow,active,3,Waterflow switch,/));
    expect(rows).toContainEqual(expect.stringMatching(/,"Pull station, loading dock",/));
    expect(rows).toContainEqual(expect.stringContaining(',note,,,,m.berg,"{""text"":""Gate 2, \\""north\\""""}"'));
    expect(rows).toContainEqual(expect.stringMatching(/^finding,.*,flow-with-supply-closed,"raised, critical"/));
  });

  it('marks a cell that a spreadsheet would run', async () => {
    await station.record(deluge1, {
      type: 'signal-received',
      id: 'formula',
      receivedAt: station.now(),
      source: '=HYPERLINK("x")',
      content: { kind: 'act', name: 'silence' },
    });
    const { body } = await send(riserUrl('/export.csv'));

    expect(String(body)).toContain(`"'=HYPERLINK(""x"")"`);
    expect(String(body)).not.toMatch(/(^|,|")=/m);
  });

  it.each(['/export.csv', '/export.ndjson'])('tells nobody of another account anything: %s', async (path) => {
    const as = await sessionOf(station, desk, 'administrator-here');
    const own = await send(riserUrl(path), { as });
    const other = await send(riserUrl(path, foreign), { as });

    expect([own.status, other.status]).toEqual([200, 404]);
    expect(JSON.stringify([own, other])).not.toMatch(foreignWords);
    expect(JSON.stringify(await send(riserUrl(path, foreign)))).toMatch(foreignWords);
  });

  it('seals the positions for who is bound to an account', async () => {
    const as = await sessionOf(station, desk, 'operator-here');
    const sealed = lines((await send(riserUrl('/export.ndjson'), { as })).body).map(({ record }) => record.position);
    const plain = lines((await send(riserUrl('/export.ndjson'))).body).map(({ record }) => record.position);

    expect(sealed).toHaveLength(plain.length);
    expect(sealed.filter((each) => plain.includes(each))).toEqual([]);
  });
});
