import type { Answer, CommandRequest, Problem, RiserEvent, RiserKey, Route, RouteName } from '@tidemark/api';
import { intentHeader, pathTo, problem, routes, tokenHeader } from '@tidemark/api';

/** The station refused or failed; `problem` says which. */
export class StationRefused extends Error {
  override readonly name = 'StationRefused';
  readonly code = 'station-refused';
  readonly problem: Problem;

  constructor(told: Problem) {
    super(told.title);
    this.problem = told;
  }
}

/** The station could not be reached, or answered something that is not the contract. */
export class StationUnreachable extends Error {
  override readonly name = 'StationUnreachable';
  readonly code = 'station-unreachable';
}

/** The session that the page speaks in. The cookie goes by itself; the token is what a foreign page cannot know. */
interface Speaking {
  readonly token: string;
  /** Called when the station says that nobody is logged in any more. */
  readonly onEnded: () => void;
}

let speaking: Speaking | undefined;

/** From now on the page speaks in this session, or in none. */
export function speakAs(session: Speaking | undefined): void {
  speaking = session;
}

interface Question {
  readonly params?: Readonly<Record<string, string>>;
  readonly query?: Readonly<Record<string, string | number | undefined>>;
  readonly body?: unknown;
  readonly signal?: AbortSignal;
}

/** Asks the station; the answer is parsed by the contract both sides share. */
export async function ask<Name extends RouteName>(name: Name, question: Question = {}): Promise<Answer<Name>> {
  const route: Route = routes[name];
  const response = await send(route, question);
  const answer: unknown = await response.json().catch(() => undefined);
  if (!response.ok) {
    const told = problem.safeParse(answer);
    if (told.success) {
      if (told.data.code === 'not-logged-in') speaking?.onEnded();
      throw new StationRefused(told.data);
    }
    throw new StationUnreachable(`the station answered ${response.status}`);
  }
  const parsed = route.answer.schema?.safeParse(answer);
  if (parsed?.success === false) throw new StationUnreachable('the station answered something this page does not know');
  return (parsed?.data ?? answer) as Answer<Name>;
}

async function send(route: Route, { params, query = {}, body, signal }: Question): Promise<Response> {
  const search = new URLSearchParams(
    Object.entries(query).flatMap(([name, value]) => (value === undefined ? [] : [[name, String(value)]])),
  ).toString();
  try {
    return await fetch(`${pathTo(route, params)}${search === '' ? '' : `?${search}`}`, {
      method: route.method.toUpperCase(),
      ...(signal === undefined ? {} : { signal }),
      ...(body === undefined
        ? {}
        : { body: JSON.stringify(body), headers: { 'content-type': 'application/json', ...deliberate() } }),
    });
  } catch (cause) {
    throw new StationUnreachable('the station cannot be reached', { cause });
  }
}

const deliberate = (): Readonly<Record<string, string>> => ({
  [intentHeader]: 'desk',
  ...(speaking === undefined ? {} : { [tokenHeader]: speaking.token }),
});

/** Gives a command for a riser. */
export const give = (key: RiserKey, body: CommandRequest) => ask('giveCommand', { params: key, body });

/** The most events a story is drawn from; beyond it the drawing says that its beginning is missing. */
export const storyLimit_events = 1_000;

/** The events of a riser from a moment on, oldest first, and whether they reach back that far. */
export async function eventsSince(
  key: RiserKey,
  since: string | undefined,
  signal: AbortSignal,
): Promise<{ readonly events: readonly RiserEvent[]; readonly complete: boolean }> {
  const events: RiserEvent[] = [];
  let cursor: string | undefined;
  do {
    const page = await ask('listEvents', { params: key, query: { cursor, limit: 200 }, signal });
    events.push(...page.items);
    cursor = page.next;
    const oldest = page.items.at(-1);
    if (since === undefined || (oldest !== undefined && oldest.receivedAt < since)) break;
  } while (cursor !== undefined && events.length < storyLimit_events);
  const wanted = since === undefined ? events : events.filter(({ receivedAt }) => receivedAt >= since);
  return { events: wanted.toReversed(), complete: cursor === undefined || wanted.length < events.length };
}
