import { request as requestOverTls } from 'node:https';
import * as api from '@tidemark/api';
import type { OpenDesk } from '@tidemark/desk';
import { openDesk } from '@tidemark/desk';
import { instant } from '@tidemark/kernel';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { deskOver } from '../browser/fixtures/browser.ts';
import type { Reply } from '../browser/fixtures/desk-client.ts';
import { send } from '../browser/fixtures/desk-client.ts';
import type { Login } from '../browser/fixtures/logged-in.ts';
import { sessionOf } from '../browser/fixtures/logged-in.ts';
import type { MemoryStation } from '../browser/fixtures/memory-station.ts';
import { quietStation } from '../browser/fixtures/quayside-story.ts';
import { testCertificate } from '../support/test-certificate.ts';

let station: MemoryStation;
let desk: OpenDesk;

beforeEach(async () => {
  station = await quietStation();
  desk = await deskOver(station);
});

afterEach(() => desk.close());

const minutes = (count: number): void => station.moveTo(instant(station.now() + count * 60_000));

const json = { 'content-type': 'application/json', [api.intentHeader]: 'test' };

const post = (path: string, body: object, as: Login | 'nobody' = 'nobody', headers: object = {}): Promise<Reply> =>
  send(`${desk.url}${path}`, { method: 'POST', as, headers: { ...json, ...headers }, body: JSON.stringify(body) });

const codeOf = ({ body }: Reply): string => api.problem.parse(body).code;
const outcome = (reply: Reply): string | number => (reply.status < 400 ? reply.status : codeOf(reply));

const password = 'four gulls over the quay';

/** Invites somebody through the office and gives the secret of the link. */
async function invite(name: string): Promise<string> {
  const grants = [{ role: 'operator' as const, accounts: 'all' as const }];
  const invited = await (await station.access()).people.invite({ name: 'm.berg', accounts: 'all' }, name, grants);
  if (!invited.ok) throw new Error(invited.failure);
  return invited.value.path.split('#')[1]!;
}

async function admitWithPassword(name: string): Promise<void> {
  const set = await post('/api/password', { token: await invite(name), password });
  expect(set.status).toBe(200);
}

const logIn = (name: string, tried = password): Promise<Reply> => post('/api/session', { name, password: tried });

const cookieOf = ({ headers }: Reply): string => String((headers['set-cookie'] as readonly string[] | undefined)?.[0]);

function loginOf(reply: Reply): Login {
  const [name = '', value = ''] = cookieOf(reply).split(';')[0]!.split('=');
  return { cookie: { name, value }, token: api.whoAmI.parse(reply.body).token };
}

const isIn = async (as: Login): Promise<boolean> => (await send(`${desk.url}/api/session`, { as })).status === 200;

describe('a log-in', () => {
  it('gives a cookie that no script reads, no other site sends, and nobody guesses', async () => {
    await admitWithPassword('t.lund');
    const reply = await logIn(' T.Lund ');

    expect(reply.status).toBe(200);
    expect(cookieOf(reply)).toMatch(
      new RegExp(`^tidemark-session-${new URL(desk.url).port}=[\\w-]{43}; Path=/; HttpOnly; SameSite=Strict$`),
    );
    expect(api.whoAmI.parse(reply.body)).toMatchObject({ name: 't.lund', site: 'real' });
    expect(JSON.stringify(reply.body)).not.toContain(loginOf(reply).cookie.value);
    expect(reply.headers['cache-control']).toBe('no-store');
    expect(cookieOf(await logIn('t.lund'))).not.toBe(cookieOf(reply));
  });

  it('over TLS gives a cookie of this host alone, and has browsers come back over TLS', async () => {
    await admitWithPassword('t.lund');
    const hosts = ['127.0.0.1'];
    const over = { address: '127.0.0.1', port: 0, hosts, page_folder: '/nowhere', logger: false, tls: testCertificate };
    const secure = await openDesk(await station.ports(), over as Parameters<typeof openDesk>[1]);
    const headers = await new Promise<Readonly<Record<string, unknown>>>((resolve, reject) => {
      const options = { method: 'POST', headers: { ...json, origin: secure.url }, ca: testCertificate.cert };
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
    await admitWithPassword('t.lund');
    await admitWithPassword('gone');
    await invite('invited');
    await (await station.access()).people.change({ name: 'm.berg', accounts: 'all' }, 'gone', { disabled: true });

    const replies = [
      await logIn('t.lund', 'not the password'),
      await logIn('nobody-at-all'),
      await logIn('invited'),
      await logIn('gone'),
      await logIn('../t.lund'),
    ];

    for (const { status, body, headers } of replies) {
      expect({ status, body }).toEqual({ status: 401, body: replies[0]!.body });
      expect(headers).not.toHaveProperty('set-cookie');
    }
    expect(codeOf(replies[0]!)).toBe('wrong-name-or-password');
  });

  it.each<[string, Record<string, string>, string]>([
    ['another site', { origin: 'http://evil.example' }, 'foreign-origin'],
    ['a form of another site', { 'sec-fetch-site': 'cross-site' }, 'foreign-origin'],
    ['a text that is no JSON by its type', { 'content-type': 'text/plain' }, 'unsupported-content-type'],
  ])('is not taken from %s', async (_from, headers, code) => {
    await admitWithPassword('t.lund');

    expect(codeOf(await post('/api/session', { name: 't.lund', password }, 'nobody', headers))).toBe(code);
  });

  it('is not taken without the header of intent', async () => {
    const reply = await send(`${desk.url}/api/session`, {
      method: 'POST',
      as: 'nobody',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ name: 't.lund', password }),
    });

    expect(codeOf(reply)).toBe('missing-intent-header');
  });
});

describe('guessing a password', () => {
  it('is slowed down more with each failure, says how long, and lets the right one in afterwards', async () => {
    await admitWithPassword('t.lund');
    const waits: (string | undefined)[] = [];
    for (let guess = 0; guess < 4; guess += 1)
      expect(outcome(await logIn('t.lund', 'guess'))).toBe('wrong-name-or-password');
    for (const wait_s of [1, 2, 4, 8]) {
      const refused = await logIn('t.lund', password);
      expect(outcome(refused)).toBe('too-many-attempts');
      waits.push(refused.headers['retry-after'] as string);
      station.moveTo(instant(station.now() + wait_s * 1_000));
      expect(outcome(await logIn('t.lund', 'guess'))).toBe('wrong-name-or-password');
    }

    expect(waits).toEqual(['1', '2', '4', '8']);
    minutes(1);
    expect(outcome(await logIn('t.lund'))).toBe(200);
    expect(outcome(await logIn('t.lund', 'guess'))).toBe('wrong-name-or-password');
    expect(outcome(await logIn('t.lund'))).toBe(200);
  });

  it('holds up nobody else at the same address who has been in from there', async () => {
    await admitWithPassword('t.lund');
    await admitWithPassword('k.moen');
    expect(outcome(await logIn('k.moen'))).toBe(200);
    let last: string | number = '';
    for (let guess = 0; guess < 40; guess += 1) last = outcome(await logIn(`guess-${guess}`, 'guess'));

    expect(last).toBe('too-many-attempts');
    expect(outcome(await logIn('k.moen'))).toBe(200);
    expect(outcome(await logIn('t.lund'))).toBe('too-many-attempts');
    minutes(2);
    expect(outcome(await logIn('t.lund'))).toBe(200);
  });
});

describe('a session', () => {
  it('ends after an hour without a request, and not before', async () => {
    const login = await sessionOf(station, desk, 'm.berg');
    minutes(59);
    expect(await isIn(login)).toBe(true);
    minutes(59);
    expect(await isIn(login)).toBe(true);
    minutes(60);
    expect(await isIn(login)).toBe(false);
  });

  it('ends twelve hours after the log-in, however much it is used', async () => {
    const login = await sessionOf(station, desk, 'm.berg');
    for (let hour = 0; hour < 12 * 2 - 1; hour += 1) {
      minutes(30);
      expect(await isIn(login)).toBe(true);
    }
    minutes(30);
    expect(await isIn(login)).toBe(false);
  });

  it('ends with the log-out, and takes its cookie along', async () => {
    const login = await sessionOf(station, desk, 'm.berg');
    const out = await post('/api/session/end', {}, login);

    expect(out.status).toBe(200);
    expect(cookieOf(out)).toMatch(/^tidemark-session-\d+=; Max-Age=0; Path=\/; HttpOnly; SameSite=Strict$/);
    expect(await isIn(login)).toBe(false);
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
      station.moveTo(instant(station.now() + 1));
    }

    expect(await isIn(sessions[0]!)).toBe(false);
    expect(await isIn(sessions[1]!)).toBe(true);
  });

  it('is the author of what it commands; a request that names another is refused', async () => {
    const commands = '/api/risers/quayside-cold-store/deluge-1/commands';
    const id = '9d0e3c1c-4f2a-4b52-9a53-5f7d1a3a4f10';
    const login = await sessionOf(station, desk, 'm.berg');
    const command = { command: 'impairment-begin', kind: 'planned', reason: 'Valve out' };

    const forged = await post(commands, { id, by: 't.lund', command }, login);
    expect([forged.status, api.problem.parse(forged.body).issues?.[0]?.message]).toEqual([
      400,
      expect.stringContaining('"by"'),
    ]);
    expect((await post(commands, { id, command }, login)).status).toBe(201);
    const { items } = api.riserEvents.parse((await send(`${desk.url}${commands.replace('commands', 'events')}`)).body);
    expect(items[0]).toMatchObject({ type: 'command', by: 'm.berg' });
  });
});

describe('a one-time link', () => {
  it('sets the password once, for who holds it, and the journal keeps neither', async () => {
    const token = await invite('t.lund');
    expect(outcome(await post('/api/password', { token, password }))).toBe(200);
    expect(outcome(await post('/api/password', { token, password: 'another four gulls over it' }))).toBe(
      'link-not-valid',
    );
    expect(outcome(await logIn('t.lund'))).toBe(200);

    const kept: string[] = [];
    for await (const { stream, data } of station.journal.readAll())
      if (stream === 'user/t.lund') kept.push(JSON.stringify(data));
    expect(kept.length).toBe(2);
    expect(kept.join()).not.toContain(token);
    expect(kept.join()).not.toContain(password);
    // PHC string format, with the cost that OWASP's Password Storage Cheat Sheet asks for (from memory).
    expect(kept[1]).toMatch(/"\$argon2id\$v=19\$m=19456,t=2,p=1\$[A-Za-z0-9+/]{22,}\$[A-Za-z0-9+/]{43}"/);
  });

  it('is used up by one of two that come at the same time', async () => {
    const token = await invite('t.lund');
    const both = await Promise.all([
      post('/api/password', { token, password: 'the first of two gulls' }),
      post('/api/password', { token, password: 'the second of two gulls' }),
    ]);

    expect(both.map(outcome).toSorted()).toEqual([200, 'link-not-valid']);
  });

  it('does no more after a day, after a newer one, or once the person is shut out', async () => {
    const { people } = await station.access();
    const administrator = { name: 'm.berg', accounts: 'all' } as const;
    const old = await invite('t.lund');
    const renewed = await people.renewLink(administrator, 't.lund');
    const shutOut = await invite('gone');
    await people.change(administrator, 'gone', { disabled: true });
    const late = await invite('late');

    expect(outcome(await post('/api/password', { token: old, password }))).toBe('link-not-valid');
    expect(outcome(await post('/api/password', { token: shutOut, password }))).toBe('link-not-valid');
    const token = renewed.ok ? renewed.value.path.split('#')[1]! : '';
    expect(outcome(await post('/api/password', { token, password }))).toBe(200);
    minutes(24 * 60);
    expect(outcome(await post('/api/password', { token: late, password }))).toBe('link-not-valid');
  });

  it.each([
    ['fourteen chars', 'invalid-request'],
    ['aaaaaaaaaaaaaaaaaaaa', 'weak-password'],
    ['abcdefghijklmnopqrst', 'weak-password'],
    ['t.lund-tidemark-1', 'weak-password'],
  ])('takes no password that is too easy to guess: %s', async (weak, code) => {
    const token = await invite('t.lund');

    expect(outcome(await post('/api/password', { token, password: weak }))).toBe(code);
    expect(outcome(await post('/api/password', { token, password: 'a café above the quay' }))).toBe(200);
    // Typed on another keyboard: the same letter, written as two.
    expect(outcome(await logIn('t.lund', 'a café above the quay'.normalize('NFD')))).toBe(200);
  });

  it('ends every session of its person', async () => {
    await admitWithPassword('t.lund');
    const before = loginOf(await logIn('t.lund'));
    const { people } = await station.access();
    const renewed = await people.renewLink({ name: 'm.berg', accounts: 'all' }, 't.lund');
    const token = renewed.ok ? renewed.value.path.split('#')[1]! : '';
    expect(await isIn(before)).toBe(true);

    await post('/api/password', { token, password: 'five gulls over the quay' });

    expect(await isIn(before)).toBe(false);
    expect(outcome(await logIn('t.lund'))).toBe('wrong-name-or-password');
  });
});

describe('another password', () => {
  it('is taken from who knows the one so far; the other sessions end, this one stays', async () => {
    await admitWithPassword('t.lund');
    const [mine, other] = [loginOf(await logIn('t.lund')), loginOf(await logIn('t.lund'))];
    const change = (current: string) =>
      post('/api/session/password', { current, password: 'five gulls over the quay' }, mine);

    expect(outcome(await change('not the password'))).toBe('wrong-name-or-password');
    expect(outcome(await change(password))).toBe(200);
    expect([await isIn(mine), await isIn(other)]).toEqual([true, false]);
  });
});
