import { randomUUID } from 'node:crypto';
import { request } from 'node:http';
import type { Role, Route, RouteName } from '@tidemark/api';
import { intentHeader, pathTo, problem, routes } from '@tidemark/api';
import type { OpenDesk } from '@tidemark/desk';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { deskOver } from '../browser/fixtures/browser.ts';
import type { Reply } from '../browser/fixtures/desk-client.ts';
import { send } from '../browser/fixtures/desk-client.ts';
import type { Login } from '../browser/fixtures/logged-in.ts';
import { headersOf, sessionOf } from '../browser/fixtures/logged-in.ts';
import type { MemoryStation } from '../browser/fixtures/memory-station.ts';
import { deluge1 } from '../browser/fixtures/quayside-story.ts';
import { foreign, foreignWords, here, people, rolesOf, there, twoAccounts } from '../browser/fixtures/two-accounts.ts';

/**
 * Who may use which route, written down a second time: a route that is not here does not compile, and a rule that is
 * loosened in the route table fails until it is loosened here as well.
 */
const expected: Readonly<Record<RouteName, 'anyone' | 'logged-in' | readonly Role[]>> = {
  getEntry: 'anyone',
  getOpenApi: 'anyone',
  logIn: 'anyone',
  setPassword: 'anyone',
  whoAmI: 'logged-in',
  logOut: 'logged-in',
  changePassword: 'logged-in',
  getHealth: 'logged-in',
  listRisers: ['operator', 'service-manager', 'integrator', 'administrator'],
  getRiser: ['operator', 'service-manager', 'integrator', 'administrator'],
  listEvents: ['operator', 'service-manager', 'integrator', 'administrator'],
  listFindings: ['operator', 'service-manager', 'integrator', 'administrator'],
  getDiagnosis: ['operator', 'service-manager', 'integrator', 'administrator'],
  exportCsv: ['operator', 'service-manager', 'integrator', 'administrator'],
  exportNdjson: ['operator', 'service-manager', 'integrator', 'administrator'],
  listen: ['operator', 'service-manager', 'integrator', 'administrator'],
  giveCommand: ['operator', 'service-manager', 'integrator'],
  getDeadlines: ['operator', 'service-manager', 'integrator', 'administrator'],
  getFigures: ['operator', 'service-manager', 'integrator', 'administrator'],
  listHandOvers: ['operator', 'service-manager', 'integrator', 'administrator'],
  handOver: ['operator', 'service-manager'],
  listQuarantine: ['service-manager', 'integrator', 'administrator'],
  listUsers: ['administrator'],
  inviteUser: ['administrator'],
  changeUser: ['administrator'],
  renewLink: ['administrator'],
};

/** What a request that changes something says; each is well formed, so that a refusal is about the person. */
const bodies: Partial<Readonly<Record<RouteName, () => object>>> = {
  logIn: () => ({ name: randomUUID().slice(0, 8), password: 'not the password' }),
  setPassword: () => ({ token: 'x'.repeat(43), password: 'a password nobody ever set' }),
  changePassword: () => ({ current: 'not the password', password: 'a password nobody ever set' }),
  giveCommand: () => ({ id: randomUUID(), command: { command: 'note', text: 'The crew is on its way.' } }),
  handOver: () => ({ id: randomUUID(), to: 'a.lund', note: 'Quiet night.' }),
  inviteUser: () => ({ name: `new.${randomUUID().slice(0, 8)}`, grants: [{ role: 'operator', accounts: [here] }] }),
  changeUser: () => ({ grants: [{ role: 'operator', accounts: [here] }] }),
};

/** What the door itself answers to the requests above: whoever hears this got as far as that. */
const answersOfTheDoor = new Set(['wrong-name-or-password', 'too-many-attempts', 'link-not-valid']);

let station: MemoryStation;
let desk: OpenDesk;

beforeAll(async () => {
  station = await twoAccounts();
  desk = await deskOver(station);
  await station.admit('somebody-here', [{ role: 'operator', accounts: [here] }]);
});

afterAll(() => desk.close());

const table = Object.entries(routes) as readonly (readonly [RouteName, Route])[];
const everybody = ['nobody', ...Object.keys(people)];

const session = (name: string): Promise<Login | 'nobody'> =>
  name === 'nobody' ? Promise.resolve('nobody' as const) : sessionOf(station, desk, name);

/** Asks one route as one person; a stream is left after its first event. */
async function ask(name: RouteName, as: Login | 'nobody', params: Readonly<Record<string, string>>): Promise<Reply> {
  const route: Route = routes[name];
  const url = `${desk.url}${pathTo(route, { user: 'somebody-here', ...params })}`;
  if (route.answer.contentType === 'text/event-stream') return beginning(url, headersOf(as, 'GET'));
  if (route.method === 'get') return send(url, { as });
  const headers = { 'content-type': 'application/json', [intentHeader]: 'test' };
  return send(url, { method: 'POST', as, headers, body: JSON.stringify(bodies[name]?.() ?? {}) });
}

const beginning = (url: string, headers: Readonly<Record<string, string>>): Promise<Reply> =>
  new Promise((resolve, reject) => {
    request(url, { headers }, (response) => {
      let text = '';
      const isRefused = response.statusCode !== 200;
      response.setEncoding('utf8').on('data', (part: string) => {
        text += part;
        if (!isRefused && !/event: [^]*\n\n/.test(text)) return;
        const body: unknown = isRefused ? JSON.parse(text) : text;
        resolve({ status: response.statusCode ?? 0, headers: response.headers, body });
        response.destroy();
      });
    })
      .on('error', reject)
      .end();
  });

/** What the matrix wants: let through, or the code of the refusal. */
function wanted(name: RouteName, who: string, account: string): string {
  const rule = expected[name];
  if (rule === 'anyone') return 'through';
  if (who === 'nobody') return 'not-logged-in';
  if (rule === 'logged-in') return 'through';
  if ('params' in routes[name] && routes[name].path.includes('{account}')) {
    const held = rolesOf(who, account);
    if (held.length === 0) return 'unknown-riser';
    return held.some((role) => rule.includes(role)) ? 'through' : 'not-allowed';
  }
  const anywhere = [...rolesOf(who, here), ...rolesOf(who, there)];
  if (!anywhere.some((role) => rule.includes(role))) return 'not-allowed';
  // Whoever administers elsewhere is let in, and finds neither the person nor the right to give a role here.
  if (rule.length === 1 && rolesOf(who, here).length === 0)
    return (
      { changeUser: 'unknown-user', renewLink: 'unknown-user', inviteUser: 'beyond-own-accounts' }[name as string] ??
      'through'
    );
  return 'through';
}

const told = ({ status, body }: Reply): string => {
  if (status < 400) return 'through';
  const { code } = problem.parse(body);
  return answersOfTheDoor.has(code) ? 'through' : code;
};

describe.each(table)('the route %s', (name) => {
  it('lets through exactly whom its rule names, at each account', async () => {
    const answers: Record<string, string> = {};
    const wishes: Record<string, string> = {};
    for (const who of everybody)
      for (const target of [deluge1, foreign]) {
        const key = `${who} at ${target.account}`;
        wishes[key] = wanted(name, who, target.account);
        answers[key] = told(await ask(name, await session(who), target));
      }

    expect(answers).toEqual(wishes);
  });

  it('asks for the token of the session wherever it changes something for somebody', async () => {
    if (routes[name].method === 'get' || expected[name] === 'anyone') return;
    const mine = await sessionOf(station, desk, 'administrator-all');
    const other = await sessionOf(station, desk, 'operator-all');

    for (const token of ['', 'rubbish', other.token]) {
      const reply = await ask(name, { ...mine, token }, deluge1);
      expect([token, told(reply)]).toEqual([token, 'wrong-token']);
    }
  });
});

describe('an address written otherwise', () => {
  it.each(['/API/risers', '/api/risers/', '//api/risers', '/api/%72isers', '/api/risers?x=1', '/api//risers'])(
    'is no way past the guard: %s',
    async (path) => {
      const { status, body } = await send(`${desk.url}${path}`, { as: 'nobody' });

      // Either the guard asks, or nothing is there (the page, for what is no address of the API).
      expect([401, 404, 200]).toContain(status);
      expect(JSON.stringify(body)).not.toMatch(/deluge-1|bay-7/);
    },
  );
});

/** An answer without what differs between any two: the time it was given. */
const comparable = ({ status, headers, body }: Reply) => ({
  status,
  body,
  headers: Object.fromEntries(Object.entries(headers).filter(([header]) => header !== 'date')),
});

const ofARiser = table.filter(([, route]) => route.path.includes('{account}')).map(([name]) => name);

describe('a riser of another account', () => {
  it.each(ofARiser)('is answered by %s byte for byte as one that does not exist', async (name) => {
    for (const who of ['operator-here', 'service-manager-here', 'integrator-here', 'administrator-here', 'roleless']) {
      const as = await sessionOf(station, desk, who);
      const [exists, ...absent] = await Promise.all(
        [foreign, { ...foreign, riser: 'bay-9' }, { account: 'nobodys', riser: 'bay-7' }].map((key) =>
          ask(name, as, key),
        ),
      );

      for (const each of absent) expect(comparable(each)).toEqual(comparable(exists!));
      expect(told(exists!)).toBe('unknown-riser');
    }
    if (!routes[name].path.includes('{riser}')) return;
    // And so is a riser that is missing from one's own account, for who may use the route there.
    if (!routes[name].path.includes('{riser}')) return;
    const as = await sessionOf(station, desk, 'operator-here');
    const missing = await ask(name, as, { account: here, riser: 'bay-7' });
    expect(comparable(missing)).toEqual(comparable(await ask(name, as, foreign)));
  });

  it.each(['0', '1', '24', '99999999', '2026-03-02T07:17:35.000Z'])('is not there at %s either', async (asOf) => {
    const as = await sessionOf(station, desk, 'operator-here');
    for (const route of [routes.getRiser, routes.getDiagnosis]) {
      const paths = [foreign, { ...foreign, riser: 'bay-9' }].map((key) => `${pathTo(route, key)}?asOf=${asOf}`);
      const [exists, absent] = await Promise.all(paths.map((path) => send(`${desk.url}${path}`, { as })));

      expect(comparable(exists!)).toEqual(comparable(absent!));
      expect(told(exists!)).toBe('unknown-riser');
    }
  });

  it('leaves no word in any answer to somebody bound elsewhere, and many in those to who sees everything', async () => {
    const reading = table.filter(([name, { method }]) => method === 'get' && name !== 'getOpenApi');
    const heard: Record<string, readonly [boolean, boolean]> = {};
    for (const [name] of reading) {
      const texts = await Promise.all(
        ['administrator-here', 'administrator-all'].map(async (who) =>
          JSON.stringify((await ask(name, await sessionOf(station, desk, who), deluge1)).body),
        ),
      );
      heard[name] = [foreignWords.test(texts[0]!), foreignWords.test(texts[1]!)];
    }

    expect(Object.entries(heard).filter(([, [bound]]) => bound)).toEqual([]);
    // The words would be found where they are: the check can fail.
    for (const name of ['listRisers', 'listQuarantine', 'listUsers', 'listen'])
      expect(heard[name]).toEqual([false, true]);
  });

  it('is in no count and no total', async () => {
    const of = async (who: string, name: RouteName) =>
      (await ask(name, await sessionOf(station, desk, who), deluge1)).body;

    expect(await of('operator-here', 'getHealth')).toMatchObject({ risers: 8 });
    expect(await of('operator-all', 'getHealth')).toMatchObject({ risers: 9 });
    expect(await of('operator-here', 'getHealth')).not.toHaveProperty('live');
    const quarantine = (await of('service-manager-here', 'listQuarantine')) as { items: { topic: string }[] };
    expect(quarantine.items.map(({ topic }) => topic)).toEqual([`risers/v1/${here}/deluge-1/signal`]);
  });
});
