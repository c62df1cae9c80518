import { entry, intentHeader, tokenHeader, whoAmI } from '@tidemark/api';
import { invariant } from '@tidemark/kernel';

/** The headers that speak in a session of a station. */
export type SessionHeaders = Readonly<Record<string, string>>;

const password = 'four gulls over the quay';

/** Sets the first administrator's password by the station's own link, and gives that person every other role as well. */
export async function takeOver(first_url: string): Promise<void> {
  const { origin, hash } = new URL(first_url);
  await post(`${origin}/api/password`, { token: hash.slice(1), password });
  const headers = await enter(origin);
  const grants = ['administrator', 'operator', 'service-manager'].map((role) => ({ role, accounts: 'all' }));
  await post(`${origin}/api/users/administrator`, { grants }, headers);
}

/** Logs in: as the administrator who took over, or as somebody else. */
export async function enter(
  origin: string,
  who: { readonly name: string; readonly password: string } = { name: 'administrator', password },
): Promise<SessionHeaders> {
  const answer = await post(`${origin}/api/session`, { name: who.name, password: who.password });
  const { token } = whoAmI.parse(await answer.json());
  const cookie = answer.headers.getSetCookie()[0]?.split(';')[0];
  invariant(cookie !== undefined, 'a log-in sets a cookie');
  return { cookie, [tokenHeader]: token, [intentHeader]: 'test' };
}

/** Logs in as the first of the demo's users, whom the station tells of before anybody is logged in. */
export async function enterDemo(origin: string): Promise<SessionHeaders> {
  const { demoUsers } = entry.parse(await (await fetch(`${origin}/api/entry`)).json());
  const [first] = demoUsers;
  invariant(first !== undefined, 'the demo tells who may try it');
  return enter(origin, first);
}

async function post(url: string, body: object, headers: SessionHeaders = {}): Promise<Response> {
  const answer = await fetch(url, {
    method: 'POST',
    headers: { 'content-type': 'application/json', [intentHeader]: 'test', ...headers },
    body: JSON.stringify(body),
  });
  invariant(answer.ok, `${url} is answered well: ${answer.status}`);
  return answer;
}
