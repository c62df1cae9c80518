import { randomUUID } from 'node:crypto';
import * as api from '@tidemark/api';
import type { OpenDesk } from '@tidemark/desk';
import { causeIds, findingCodes, restorationSteps } from '@tidemark/reasoning';
import { signalNames } from '@tidemark/signals';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { deskOver } from '../browser/fixtures/browser.ts';
import { giveCommand, send } from '../browser/fixtures/desk-client.ts';
import type { MemoryStation } from '../browser/fixtures/memory-station.ts';
import { at, deluge1, flowingStation } from '../browser/fixtures/quayside-story.ts';

let station: MemoryStation;
let desk: OpenDesk;

beforeEach(async () => {
  station = await flowingStation();
  desk = await deskOver(station);
});

afterEach(() => desk.close());

const riserUrl = (more = ''): string => `${desk.url}/api/risers/${deluge1.account}/${deluge1.riser}${more}`;
const view = async (more = ''): Promise<api.RiserView> => api.riserView.parse((await send(riserUrl(more))).body);
const codeOf = (body: unknown): string => api.problem.parse(body).code;

describe('the contract of the desk', () => {
  it('uses the words of the packages behind it', () => {
    expect(api.findingCodes).toEqual(findingCodes);
    expect(api.causeIds).toEqual(causeIds);
    expect(api.restorationSteps).toEqual(restorationSteps);
    expect([...api.signalNames].toSorted()).toEqual([...signalNames].toSorted());
  });

  it('is kept by every route that answers JSON', async () => {
    for (const [name, route] of Object.entries<api.Route>(api.routes)) {
      if (route.method !== 'get' || route.answer.schema === undefined) continue;
      const { status, body } = await send(`${desk.url}${api.pathTo(route, deluge1)}`);

      expect({ name, status, parsed: route.answer.schema.safeParse(body).error }).toEqual({
        name,
        status: 200,
        parsed: undefined,
      });
    }
  });

  it('describes itself', async () => {
    const { body } = await send(`${desk.url}/api/openapi.json`);

    expect(body).toEqual(JSON.parse(JSON.stringify(api.openApi())));
  });

  it('says where it is and who can reach it', async () => {
    const health = api.health.parse((await send(`${desk.url}/api/health`)).body);

    expect(health).toMatchObject({
      status: 'ok',
      site: 'real',
      listensOn: '127.0.0.1',
      reach: 'this-machine',
      risers: 8,
    });
    expect(health.notice).toMatch(/^Who reads and commands is logged in/);
  });

  it('is degraded in health once a part is down or the views do not follow', async () => {
    station.parts.push({ part: 'broker', state: 'down', detail: 'refused' });
    expect((await send(`${desk.url}/api/health`)).body).toMatchObject({ status: 'degraded' });

    station.parts.pop();
    station.state = 'catching-up';
    expect((await send(`${desk.url}/api/health`)).body).toMatchObject({ status: 'degraded', following: 'catching-up' });
  });
});

describe('a list of risers', () => {
  it('puts what needs a person first, with its deadline on our clock', async () => {
    const { risers } = api.riserList.parse((await send(`${desk.url}/api/risers`)).body);
    const { findings, link } = await view();

    expect(risers.slice(0, 3).map(({ riser, urgency }) => [riser, urgency])).toEqual([
      ['deluge-1', 'now'],
      ['deluge-4', 'soon'],
      ['deluge-2', 'none'],
    ]);
    const window = findings.find(({ code }) => code === 'flow-with-supply-closed')?.window;
    expect(link.clockOffset_ms).toBe(-400);
    expect(Date.parse(risers[0]!.deadline!.at)).toBe(Date.parse(window!.to) + 400);
  });
});

describe('a riser of the past', () => {
  it('is as it was at a time: before the water, no finding and no episode', async () => {
    const before = await view('?asOf=2026-03-02T06:57:00.000Z');

    expect({ phase: before.phase, findings: before.findings, episode: before.episode, asOf: before.asOf }).toEqual({
      phase: 'unknown',
      findings: [],
      episode: undefined,
      asOf: '2026-03-02T06:57:00.000Z',
    });
  });

  it('says what fell due by then though nothing was heard', async () => {
    const justBefore = await view('?asOf=2026-03-02T07:15:00.000Z');
    const after = await view('?asOf=2026-03-02T07:17:00.000Z');

    expect(justBefore.findings).toEqual([]);
    expect(after.findings.map(({ code }) => code)).toEqual(['flow-with-supply-closed']);
  });

  it('is as it was at the position of any of its events', async () => {
    const { items } = api.riserEvents.parse((await send(riserUrl('/events'))).body);
    const water = items.find((event) => event.type === 'signal' && event.signal === 'waterflow');

    expect(await view(`?asOf=${water!.position}`)).toMatchObject({ phase: 'flowing', position: water!.position });
  });

  it('is refused where the journal has not been', async () => {
    const { status, body } = await send(riserUrl('?asOf=99999999'));

    expect([status, codeOf(body)]).toEqual([404, 'moment-not-reached']);
  });
});

describe('the events of a riser', () => {
  it('come newest first with both clocks, and page by cursor without gap or repeat', async () => {
    const whole = api.riserEvents.parse((await send(riserUrl('/events'))).body).items;
    const paged: api.RiserEvent[] = [];
    let next: string | undefined;
    do {
      const page = api.riserEvents.parse(
        (await send(riserUrl(`/events?limit=2${next === undefined ? '' : `&cursor=${next}`}`))).body,
      );
      paged.push(...page.items);
      next = page.next;
    } while (next !== undefined);

    expect(paged).toEqual(whole);
    expect(whole.at(-2)).toMatchObject({
      type: 'signal',
      signal: 'manual-pull',
      label: 'Pull station, loading dock',
      observedAt: '2026-03-02T06:57:07.100Z',
      receivedAt: '2026-03-02T06:57:07.500Z',
    });
  });
});

describe('the quarantine', () => {
  it('shows a payload as text that can do nothing', async () => {
    const { items } = api.quarantinePage.parse((await send(`${desk.url}/api/quarantine`)).body);

    expect(items).toHaveLength(1);
    expect(items[0]).toMatchObject({
      reason: 'not-a-cloud-event',
      topic: 'risers/v1/quayside-cold-store/deluge-1/signal',
      payload: {
        text: '{"signal":"<img src=x onerror=alert(1)>","\\u202egnp":"\\u0007"}',
        encoding: 'utf-8',
        omitted_bytes: 0,
      },
    });
  });
});

describe('a command', () => {
  it('is recorded with its author, and changes the finding it acknowledges', async () => {
    const { status, body } = await giveCommand(riserUrl('/commands'), {
      command: 'acknowledge',
      finding: 'flow-with-supply-closed',
    });

    expect([status, api.commandReceipt.parse(body).fresh]).toEqual([201, true]);
    expect((await view()).findings[0]!.alertState).toBe('acknowledged');
    const [newest] = api.riserEvents.parse((await send(riserUrl('/events'))).body).items;
    expect(newest).toMatchObject({ type: 'command', by: 'm.berg', command: { command: 'acknowledge' } });
  });

  it('records nothing when it is given again under the same id', async () => {
    const id = randomUUID();
    const first = await giveCommand(
      riserUrl('/commands'),
      { command: 'test-begin', forSeconds: 600, expect: ['waterflow'] },
      id,
    );
    const again = await giveCommand(
      riserUrl('/commands'),
      { command: 'test-begin', forSeconds: 600, expect: ['waterflow'] },
      id,
    );

    expect([first.body, again.body]).toEqual([
      expect.objectContaining({ fresh: true }),
      { ...(first.body as object), fresh: false },
    ]);
  });

  it('succeeds when its first answer was lost, though what it asked for is done', async () => {
    const id = randomUUID();
    await giveCommand(riserUrl('/commands'), { command: 'test-begin', forSeconds: 600, expect: [] });
    await giveCommand(riserUrl('/commands'), { command: 'test-end' }, id);

    const again = await giveCommand(riserUrl('/commands'), { command: 'test-end' }, id);

    expect([again.status, again.body]).toEqual([201, expect.objectContaining({ fresh: false })]);
  });

  it.each<[api.RiserCommand, api.ProblemCode]>([
    [{ command: 'acknowledge', finding: 'chattering' }, 'no-such-finding'],
    [{ command: 'confirm', step: 'valve-reset-by-hand' }, 'no-such-step'],
    [{ command: 'test-end' }, 'nothing-to-end'],
    [{ command: 'impairment-end' }, 'nothing-to-end'],
  ])('that means nothing is refused: %j', async (command, code) => {
    const head = await station.journal.head();
    const { status, body } = await giveCommand(riserUrl('/commands'), command);

    expect([status, codeOf(body)]).toEqual([409, code]);
    expect(await station.journal.head()).toBe(head);
  });

  it('names what is wrong where it is malformed', async () => {
    const { status, body } = await giveCommand(riserUrl('/commands'), {
      command: 'test-begin',
      forSeconds: -1,
      expect: [],
    });

    expect(status).toBe(400);
    expect(api.problem.parse(body)).toMatchObject({
      code: 'invalid-request',
      issues: [{ path: 'command.forSeconds' }],
    });
  });

  it('is stamped with the clock of the station, whatever the caller’s', async () => {
    station.moveTo(at('08:00:00'));
    await giveCommand(riserUrl('/commands'), { command: 'impairment-begin', kind: 'planned', reason: 'Valve out' });

    expect((await view()).impairment?.began).toBe('2026-03-02T08:00:00.000Z');
  });
});

describe('what is not there', () => {
  it.each([
    ['/api/risers/quayside-cold-store/deluge-9', 404, 'unknown-riser'],
    ['/api/risers/quayside-cold-store/deluge-9/events', 404, 'unknown-riser'],
    ['/api/risers/Quayside/deluge-1', 400, 'invalid-request'],
    ['/api/quarantine?limit=0', 400, 'invalid-request'],
    ['/api/quarantine?cursor=-1', 400, 'invalid-request'],
    ['/api/risers/quayside-cold-store/deluge-1/events?cursor=9999999999999999999', 400, 'invalid-request'],
    ['/api/risers/quayside-cold-store/deluge-1?asOf=99999999999999999999', 404, 'moment-not-reached'],
    ['/api/nothing', 404, 'unknown-route'],
  ])('is told as a problem: %s', async (path, status, code) => {
    const reply = await send(`${desk.url}${path}`);

    expect([reply.status, codeOf(reply.body), reply.headers['content-type']]).toEqual([
      status,
      code,
      'application/problem+json',
    ]);
  });
});
