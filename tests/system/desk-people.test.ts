import type { Grant } from '@tidemark/api';
import * as api from '@tidemark/api';
import type { OpenDesk } from '@tidemark/desk';
import { openAccess } from '@tidemark/desk';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { deskOver } from '../browser/fixtures/browser.ts';
import type { Reply } from '../browser/fixtures/desk-client.ts';
import { send } from '../browser/fixtures/desk-client.ts';
import type { Login } from '../browser/fixtures/logged-in.ts';
import { sessionOf } from '../browser/fixtures/logged-in.ts';
import { MemoryStation } from '../browser/fixtures/memory-station.ts';
import { at } from '../browser/fixtures/quayside-story.ts';
import { here, there, twoAccounts } from '../browser/fixtures/two-accounts.ts';

let station: MemoryStation;
let desk: OpenDesk;
let administrator: Login;

beforeAll(async () => {
  station = await twoAccounts();
  desk = await deskOver(station);
  administrator = await sessionOf(station, desk, 'administrator-here');
});

afterAll(() => desk.close());

const post = (path: string, body: object, as = administrator): Promise<Reply> =>
  send(`${desk.url}${path}`, {
    method: 'POST',
    as,
    headers: { 'content-type': 'application/json', [api.intentHeader]: 'test' },
    body: JSON.stringify(body),
  });

const outcome = ({ status, body }: Reply): string | number => (status < 400 ? status : api.problem.parse(body).code);
const operatorAt = (...accounts: string[]): Grant[] => [{ role: 'operator', accounts }];
const names = async (as: Login): Promise<readonly string[]> =>
  api.userList.parse((await send(`${desk.url}/api/users`, { as })).body).users.map(({ name }) => name);

describe('an administrator bound to accounts', () => {
  it('sees those whose every role lies there, and nobody else', async () => {
    await station.admit('of-both', operatorAt(here, there));

    expect(await names(administrator)).toEqual([
      'administrator-here',
      'integrator-here',
      'operator-here',
      'service-manager-here',
    ]);
    expect(await names(await sessionOf(station, desk, 'administrator-all'))).toEqual(
      expect.arrayContaining(['of-both', 'm.berg', 'operator-there', 'roleless']),
    );
  });

  it.each<[string, Grant[]]>([
    ['elsewhere', operatorAt(there)],
    ['partly elsewhere', operatorAt(here, there)],
    ['everywhere', [{ role: 'operator', accounts: 'all' }]],
    ['nowhere', []],
  ])('gives no role %s, neither to a new person nor to a known one', async (_where, grants) => {
    expect(outcome(await post('/api/users', { name: 'new', grants }))).toBe('beyond-own-accounts');
    expect(outcome(await post('/api/users/operator-here', { grants }))).toBe('beyond-own-accounts');
    expect((await station.access()).directory.find('new')).toBeUndefined();
  });

  it.each(['operator-there', 'operator-all', 'of-both', 'roleless', 'nobody-at-all'])(
    'can do nothing to %s, who is as if not there',
    async (name) => {
      const replies = [await post(`/api/users/${name}`, { disabled: true }), await post(`/api/users/${name}/link`, {})];

      expect(replies.map(outcome)).toEqual(['unknown-user', 'unknown-user']);
      expect(replies.map(({ body }) => JSON.stringify(body))).toEqual(
        Array(2).fill(JSON.stringify((await post('/api/users/nobody-ever', {})).body)),
      );
    },
  );
});

describe('a person', () => {
  it('is invited by name, and a name is given once for ever', async () => {
    const invited = await post('/api/users', { name: 't.lund', grants: operatorAt(here) });
    const { user, path } = api.invitation.parse(invited.body);

    expect([invited.status, user]).toEqual([
      201,
      expect.objectContaining({ name: 't.lund', state: 'invited', changedBy: 'administrator-here' }),
    ]);
    expect(path).toMatch(/^\/set-password#[\w-]{43}$/);
    expect(outcome(await post('/api/users', { name: 't.lund', grants: operatorAt(here) }))).toBe('name-taken');
  });

  it('has other roles at once, also in a session that is open', async () => {
    const session = await sessionOf(station, desk, 'integrator-here');
    const quarantine = async () => outcome(await send(`${desk.url}/api/quarantine`, { as: session }));
    expect(await quarantine()).toBe(200);

    await post('/api/users/integrator-here', { grants: operatorAt(here) });

    expect(await quarantine()).toBe('not-allowed');
    const { users } = api.userList.parse((await send(`${desk.url}/api/users`, { as: administrator })).body);
    expect(users.find(({ name }) => name === 'integrator-here')).toMatchObject({
      grants: operatorAt(here),
      changedBy: 'administrator-here',
    });
  });

  it('is out at once when shut out, and comes in again with no session of before', async () => {
    const session = await sessionOf(station, desk, 'service-manager-here');
    const whoAmI = async () => outcome(await send(`${desk.url}/api/session`, { as: session }));

    await post('/api/users/service-manager-here', { disabled: true });
    expect(await whoAmI()).toBe('not-logged-in');
    await post('/api/users/service-manager-here', { disabled: false });
    expect(await whoAmI()).toBe('not-logged-in');
  });

  it('is known after a start from the journal alone', async () => {
    const again = await openAccess({ journal: station.journal, clock: () => station.now() });

    expect(again.directory.all()).toEqual((await station.access()).directory.all());
  });

  it('may only do what the table gives the role, command by command', async () => {
    const given: Record<string, readonly string[]> = {};
    for (const command of Object.keys(api.commandRoles) as api.RiserCommand['command'][])
      given[command] = api.roles.filter((role) => api.mayCommand([{ role, accounts: [here] }], here, command));

    expect(given).toMatchObject({
      acknowledge: ['operator', 'service-manager'],
      'impairment-begin': ['operator', 'service-manager'],
      'test-begin': ['operator', 'service-manager', 'integrator'],
      confirm: ['operator', 'service-manager', 'integrator'],
    });
    const integrator = await sessionOf(station, desk, 'integrator-all');
    const id = 'b8a9c4a6-5a8e-4b6f-9d3a-0d6f5c1b2a3e';
    const commands = `/api/risers/${here}/deluge-1/commands`;
    const acknowledge = { command: 'acknowledge', finding: 'flow-with-supply-closed' };
    expect(outcome(await post(commands, { id, command: acknowledge }, integrator))).toBe('not-allowed');
    const test = { command: 'test-begin', forSeconds: 60, expect: [] };
    expect(outcome(await post(commands, { id, command: test }, integrator))).toBe(201);
  });
});

describe('the first administrator', () => {
  it('has a link at each start until the password is set, and only the newest does anything', async () => {
    const fresh = new MemoryStation(at('06:00:00'));
    const access = await fresh.access();
    const [first, second] = [await access.people.firstLink(), await access.people.firstLink()];
    const secret = (path: string | undefined): string => path?.split('#')[1] ?? '';

    expect(await access.frontDesk.redeem(secret(first), 'four gulls over the quay')).toMatchObject({ ok: false });
    expect(await access.frontDesk.redeem(secret(second), 'four gulls over the quay')).toEqual({
      ok: true,
      value: 'administrator',
    });
    expect(await access.people.firstLink()).toBeUndefined();
    const own = { name: 'administrator', accounts: 'all' } as const;
    for (const wish of [{ disabled: true }, { grants: operatorAt(here) }])
      expect(await access.people.change(own, 'administrator', wish)).toEqual({
        ok: false,
        failure: 'last-administrator',
      });
  });

  it('gets a new link when whoever sets up the station asks for one, even after being shut out', async () => {
    const fresh = new MemoryStation(at('06:00:00'));
    const { people, frontDesk, directory } = await fresh.access();
    const redeem = async (path: string | undefined, password: string) =>
      (await frontDesk.redeem(path?.split('#')[1] ?? '', password)).ok;
    expect(await redeem(await people.firstLink(), 'four gulls over the quay')).toBe(true);
    const everything = [{ role: 'administrator' as const, accounts: 'all' as const }];
    const other = await people.invite({ name: 'administrator', accounts: 'all' }, 'other', everything);
    expect(await redeem(other.ok ? other.value.path : '', 'two herons at the pier')).toBe(true);
    await people.change({ name: 'other', accounts: 'all' }, 'administrator', {
      grants: operatorAt(here),
      disabled: true,
    });

    expect(await people.firstLink()).toBeUndefined();
    expect(await redeem(await people.firstLink('new'), 'five gulls over the quay')).toBe(true);
    expect(directory.find('administrator')).toMatchObject({
      isDisabled: false,
      grants: [...operatorAt(here), { role: 'administrator', accounts: 'all' }],
    });
  });
});
