import { request as requestOverTls } from 'node:https';
import * as api from '@tidemark/api';
import type { OpenDesk } from '@tidemark/desk';
import { openDesk } from '@tidemark/desk';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { deskOver } from '../browser/fixtures/browser.ts';
import { send } from '../browser/fixtures/desk-client.ts';
import { cookieOf, deliberate, Door, loginOf, outcome, password } from '../browser/fixtures/door.ts';
import type { Login } from '../browser/fixtures/logged-in.ts';
import { sessionOf } from '../browser/fixtures/logged-in.ts';
import type { MemoryStation } from '../browser/fixtures/memory-station.ts';
import { quietStation } from '../browser/fixtures/quayside-story.ts';
import { testCertificate } from '../support/test-certificate.ts';

let station: MemoryStation;
let desk: OpenDesk;
let door: Door;

beforeEach(async () => {
  station = await quietStation();
  desk = await deskOver(station);
  door = new Door(station, desk);
});

afterEach(() => desk.close());

describe('a log-in', () => {
  it('gives a cookie that no script reads, no other site sends, and nobody guesses', async () => {
    await door.admit('t.lund');
    const reply = await door.logIn(' T.Lund ');

    expect(reply.status).toBe(200);
    expect(cookieOf(reply)).toMatch(
      new RegExp(`^tidemark-session-${new URL(desk.url).port}=[\\w-]{43}; Path=/; HttpOnly; SameSite=Strict$`),
    );
    expect(api.whoAmI.parse(reply.body)).toMatchObject({ name: 't.lund', site: 'real' });
    expect(JSON.stringify(reply.body)).not.toContain(loginOf(reply).cookie.value);
    expect(reply.headers['cache-control']).toBe('no-store');
    expect(cookieOf(await door.logIn('t.lund'))).not.toBe(cookieOf(reply));
  });

  it('over TLS gives a cookie of this host alone, and has browsers come back over TLS', async () => {
    await door.admit('t.lund');
    const hosts = ['127.0.0.1'];
    const over = { address: '127.0.0.1', port: 0, hosts, page_folder: '/nowhere', logger: false, tls: testCertificate };
    const secure = await openDesk(await station.ports(), over as Parameters<typeof openDesk>[1]);
    const headers = await new Promise<Readonly<Record<string, unknown>>>((resolve, reject) => {
      const options = { method: 'POST', headers: { ...deliberate, origin: secure.url }, ca: testCertificate.cert };
      requestOverTls(`${secure.url}/api/session`, options, (response) => {
        response.resume();
        resolve(response.headers);
      })
        .on('error', reject)
        .end(JSON.stringify({ name: 't.lund', password }));
    });
    await secure.close();

    expect(headers['set-cookie']).toEqual([
      expect.stringMatching(/^__Host-tidemark-session=[\w-]{43}; Path=\/; HttpOnly; SameSite=Strict; Secure$/),
    ]);
    expect(headers['strict-transport-security']).toBe('max-age=31536000');
  });

  it('says the same to a wrong password, a name nobody has, one without a password and one shut out', async () => {
    await door.admit('t.lund');
    await door.admit('gone');
    await door.invite('invited');
    await door.shutOut('gone');

    const replies = [
      await door.logIn('t.lund', 'not the password'),
      await door.logIn('nobody-at-all'),
      await door.logIn('invited'),
      await door.logIn('gone'),
      await door.logIn('../t.lund'),
    ];

    for (const { status, body, headers } of replies) {
      expect({ status, body }).toEqual({ status: 401, body: replies[0]!.body });
      expect(headers).not.toHaveProperty('set-cookie');
    }
    expect(outcome(replies[0]!)).toBe('wrong-name-or-password');
  });

  it.each<[string, Record<string, string>, string]>([
    ['another site', { origin: 'http://evil.example' }, 'foreign-origin'],
    ['a form of another site', { 'sec-fetch-site': 'cross-site' }, 'foreign-origin'],
    ['a text that is no JSON by its type', { 'content-type': 'text/plain' }, 'unsupported-content-type'],
  ])('is not taken from %s', async (_from, headers, code) => {
    await door.admit('t.lund');

    expect(outcome(await door.post('/api/session', { name: 't.lund', password }, 'nobody', headers))).toBe(code);
  });

  it('is not taken without the header of intent', async () => {
    const reply = await send(`${desk.url}/api/session`, {
      method: 'POST',
      as: 'nobody',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ name: 't.lund', password }),
    });

    expect(outcome(reply)).toBe('missing-intent-header');
  });
});

describe('a session', () => {
  it('ends after an hour without a request, and not before', async () => {
    const login = await sessionOf(station, desk, 'm.berg');
    door.pass(3540);
    expect(await door.isIn(login)).toBe(true);
    door.pass(3540);
    expect(await door.isIn(login)).toBe(true);
    door.pass(3600);
    expect(await door.isIn(login)).toBe(false);
  });

  it('ends twelve hours after the log-in, however much it is used', async () => {
    const login = await sessionOf(station, desk, 'm.berg');
    for (let hour = 0; hour < 12 * 2 - 1; hour += 1) {
      door.pass(1800);
      expect(await door.isIn(login)).toBe(true);
    }
    door.pass(1800);
    expect(await door.isIn(login)).toBe(false);
  });

  it('ends with the log-out, and takes its cookie along', async () => {
    const login = await sessionOf(station, desk, 'm.berg');
    const out = await door.post('/api/session/end', {}, login);

    expect(out.status).toBe(200);
    expect(cookieOf(out)).toMatch(/^tidemark-session-\d+=; Max-Age=0; Path=\/; HttpOnly; SameSite=Strict$/);
    expect(await door.isIn(login)).toBe(false);
  });

  it('is nobody’s where two cookies claim it, or where it was never given', async () => {
    const login = await sessionOf(station, desk, 'm.berg');
    const { name, value } = login.cookie;
    for (const cookie of [`${name}=${value}; ${name}=${value}`, `${name}=`, `${name}=${value.slice(1)}`, ''])
      expect((await send(`${desk.url}/api/session`, { as: 'nobody', headers: { cookie } })).status).toBe(401);
  });

  it('belongs to one of twenty at most; the longest unused ends for a new one', async () => {
    const sessions: Login[] = [];
    for (let count = 0; count < 21; count += 1) {
      sessions.push(await sessionOf(station, desk, 'm.berg'));
      door.pass(0.001);
    }

    expect(await door.isIn(sessions[0]!)).toBe(false);
    expect(await door.isIn(sessions[1]!)).toBe(true);
  });

  it('is the author of what it commands; a request that names another is refused', async () => {
    const commands = '/api/risers/quayside-cold-store/deluge-1/commands';
    const id = '9d0e3c1c-4f2a-4b52-9a53-5f7d1a3a4f10';
    const login = await sessionOf(station, desk, 'm.berg');
    const command = { command: 'impairment-begin', kind: 'planned', reason: 'Valve out' };

    const forged = await door.post(commands, { id, by: 't.lund', command }, login);
    expect([forged.status, api.problem.parse(forged.body).issues?.[0]?.message]).toEqual([
      400,
      expect.stringContaining('"by"'),
    ]);
    expect((await door.post(commands, { id, command }, login)).status).toBe(201);
    const { items } = api.riserEvents.parse((await send(`${desk.url}${commands.replace('commands', 'events')}`)).body);
    expect(items[0]).toMatchObject({ type: 'command', by: 'm.berg' });
  });
});
