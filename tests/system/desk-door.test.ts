import { bodyLimit_bytes, intentHeader, problem } from '@tidemark/api';
import type { OpenDesk } from '@tidemark/desk';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { deskOver } from '../browser/fixtures/browser.ts';
import { send } from '../browser/fixtures/desk-client.ts';
import type { MemoryStation } from '../browser/fixtures/memory-station.ts';
import { quietStation } from '../browser/fixtures/quayside-story.ts';

let station: MemoryStation;
let desk: OpenDesk;

beforeAll(async () => {
  station = await quietStation();
  desk = await deskOver(station);
});

afterAll(() => desk.close());

const json = { 'content-type': 'application/json', [intentHeader]: 'test' };
const commands = (): string => `${desk.url}/api/risers/quayside-cold-store/deluge-1/commands`;
const body = JSON.stringify({
  id: '9d0e3c1c-4f2a-4b52-9a53-5f7d1a3a4f10',
  command: { command: 'test-end' },
});

describe('the front door of the desk', () => {
  it.each(['/', '/api/health', '/api/nothing', '/risers/quayside-cold-store/deluge-1'])(
    'lets no foreign script, frame or file near %s',
    async (path) => {
      const { headers } = await send(`${desk.url}${path}`);

      expect(headers).toMatchObject({
        'x-content-type-options': 'nosniff',
        'referrer-policy': 'no-referrer',
        'x-frame-options': 'DENY',
        'cross-origin-resource-policy': 'same-origin',
      });
      const policy = String(headers['content-security-policy']).split('; ');
      expect(policy).toEqual(
        expect.arrayContaining(["default-src 'none'", "script-src 'self'", "frame-ancestors 'none'"]),
      );
      expect(policy.join()).not.toMatch(/unsafe|https?:|\*/);
      expect(headers).not.toHaveProperty('x-powered-by');
    },
  );

  it('does not answer to a name that is not its own, so that no foreign name can be made to point here', async () => {
    const { status, body: told } = await send(`${desk.url}/api/risers`, { headers: { host: 'tidemark.example:80' } });

    expect([status, problem.parse(told).code]).toEqual([421, 'unknown-host']);
  });

  it.each<[string, Record<string, string>, number, string]>([
    ['another site', { ...json, origin: 'http://evil.example' }, 403, 'foreign-origin'],
    ['another port of this machine', { ...json, origin: 'http://127.0.0.1:1' }, 403, 'foreign-origin'],
    ['a sandboxed frame', { ...json, origin: 'null' }, 403, 'foreign-origin'],
    ['what the browser calls cross-site', { ...json, 'sec-fetch-site': 'cross-site' }, 403, 'foreign-origin'],
    ['what the browser calls same-site', { ...json, 'sec-fetch-site': 'same-site' }, 403, 'foreign-origin'],
    ['a form, which can set no header', { 'content-type': 'application/json' }, 403, 'missing-intent-header'],
    ['a plain text', { ...json, 'content-type': 'text/plain' }, 415, 'unsupported-content-type'],
  ])('refuses a command from %s', async (_who, headers, status, code) => {
    const head = await station.journal.head();
    const reply = await send(commands(), { method: 'POST', headers, body });

    expect([reply.status, problem.parse(reply.body).code]).toEqual([status, code]);
    expect(await station.journal.head()).toBe(head);
  });

  it('hears a command of its own page out', async () => {
    const headers = { ...json, origin: desk.url, 'sec-fetch-site': 'same-origin' };
    const reply = await send(commands(), { method: 'POST', headers, body });

    expect(problem.parse(reply.body).code).toBe('nothing-to-end');
  });

  it.each([
    [bodyLimit_bytes, 400, 'invalid-request'],
    [bodyLimit_bytes + 1, 413, 'body-too-large'],
  ])('reads a body of %i bytes with answer %i', async (size, status, code) => {
    const text = JSON.stringify({ filler: '' });
    const filled = JSON.stringify({ filler: 'x'.repeat(size - text.length) });
    const reply = await send(commands(), { method: 'POST', headers: json, body: filled });

    expect([Buffer.byteLength(filled), reply.status, problem.parse(reply.body).code]).toEqual([size, status, code]);
  });

  it('tells a body that is no JSON as such', async () => {
    const reply = await send(commands(), { method: 'POST', headers: json, body: '{"id":' });

    expect([reply.status, problem.parse(reply.body).code]).toEqual([400, 'invalid-request']);
  });

  it('keeps hashed files for ever and the page itself for no time', async () => {
    const { headers, body: page } = await send(desk.url);
    const script = /src="(\/assets\/[^"]+\.js)"/.exec(String(page))?.[1];
    const asset = await send(`${desk.url}${script}`);

    expect(headers['cache-control']).toBe('no-cache');
    expect([asset.status, asset.headers['cache-control']]).toEqual([200, 'public, max-age=31536000, immutable']);
  });

  it('leads nobody out of the folder of the page', async () => {
    const { status } = await send(`${desk.url}/assets/..%2f..%2f..%2fpackage.json`);

    expect(status).toBeGreaterThanOrEqual(400);
  });
});
