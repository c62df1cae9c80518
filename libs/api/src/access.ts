import * as z from 'zod';
import { moment, riserKey } from './basics.ts';

/** What a person may be. A person may be several of these, each at accounts of its own. */
export const roles = ['operator', 'service-manager', 'integrator', 'administrator'] as const;

/** What a person may be. */
export type Role = (typeof roles)[number];

/** The most accounts one role names; beyond it the role holds at all. A choice of this project. */
const accountsLimit = 500;

const account = riserKey.shape.account;

/** Where a role holds: at all accounts of the station, those to come included, or at the ones named. */
export const accounts = z.union([z.literal('all'), z.array(account).min(1).max(accountsLimit)]);

/** A role and where it holds. */
export const grant = z.strictObject({ role: z.enum(roles), accounts });

/** A role and where it holds. */
export type Grant = z.infer<typeof grant>;

/** The roles of a person: none is a person who may log in and sees nothing. */
export const grants = z
  .array(grant)
  .max(roles.length)
  .refine((list) => new Set(list.map(({ role }) => role)).size === list.length, { error: 'each role stands once' });

/** The name a person logs in with, and the author of what that person does. It is never given to another. */
export const userName = z
  .string()
  .regex(/^[a-z0-9][a-z0-9.-]{0,62}$/)
  .meta({ description: 'The name a person logs in with, and the author of what that person does.' });

/**
 * The shortest password, in characters: NIST SP 800-63B-4, 3.1.1.2, asks for 15 where a password is the only factor
 * (from memory). Nothing is asked of its letters and digits, as the same clause wants.
 */
export const passwordShortest_characters = 15;

/** The longest password: the same clause asks for 64 at least (from memory); a bound keeps the hashing bounded. */
export const passwordLongest_characters = 256;

/** A password as it is chosen. */
const newPassword = z.string().min(passwordShortest_characters).max(passwordLongest_characters);

/** A password as it is tried: whatever was chosen once under other rules may be tried. */
const triedPassword = z.string().min(1).max(passwordLongest_characters);

/** The secret of a one-time link: 256 bits as base64url. */
const linkToken = z.string().regex(/^[\w-]{43}$/);

/** What a person must know before logging in. It says nothing of any site. */
export const entry = z.object({
  status: z.enum(['ok', 'degraded']),
  site: z.enum(['real', 'demo']).meta({ description: '`demo`: an invented site with simulated signals.' }),
  demoUsers: z
    .array(z.object({ name: userName, password: z.string(), may: z.string() }))
    .meta({ description: 'Who may try the demo. Empty on a real site.' }),
});

/** What a person must know before logging in. */
export type Entry = z.infer<typeof entry>;

/** Name and password. */
export const logInRequest = z.strictObject({ name: z.string().trim().toLowerCase().max(63), password: triedPassword });

/** Who is logged in, what that person may, and until when. */
export const whoAmI = z.object({
  name: userName,
  grants,
  token: z.string().meta({ description: 'Every unsafe request of this session carries it in its header.' }),
  endsAt: moment.meta({ description: 'When the session ends whatever is done, by the clock of the server.' }),
  site: z.enum(['real', 'demo']),
});

/** Who is logged in. */
export type WhoAmI = z.infer<typeof whoAmI>;

/** The secret of a one-time link, and the password from now on. */
export const setPasswordRequest = z.strictObject({ token: linkToken, password: newPassword });

/** The password so far, and the one from now on. */
export const changePasswordRequest = z.strictObject({ current: triedPassword, password: newPassword });

/** Whose password was set. */
export const passwordSet = z.object({ name: userName });

/** Nothing more to say. */
export const done = z.object({ done: z.literal(true) });

/** A person as administrators see one. */
export const user = z.object({
  name: userName,
  grants,
  state: z.enum(['invited', 'active', 'disabled']).meta({ description: '`invited`: no password was ever set.' }),
  linkExpiresAt: moment.optional().meta({ description: 'A one-time link is out and not used yet.' }),
  changedBy: z.string(),
  changedAt: moment,
});

/** A person as administrators see one. */
export type User = z.infer<typeof user>;

/** The people an administrator looks after, by name. */
export const userList = z.object({ users: z.array(user) });

/** Who is invited, as what. */
export const inviteRequest = z.strictObject({ name: userName, grants });

/** Other roles, or whether the person may come in at all. */
export const changeUserRequest = z.strictObject({ grants: grants.optional(), disabled: z.boolean().optional() });

/** A one-time link: told once, to whoever asked for it, and nowhere kept. */
export const invitation = z.object({
  user,
  path: z.string().meta({ description: 'To be opened at the address of the desk. The secret stands after the `#`.' }),
});

/** A one-time link. */
export type Invitation = z.infer<typeof invitation>;

/** Names one person: the path parameter. */
export const userKey = z.object({ user: userName });

/** Where the page lies that sets a password; the secret follows as the fragment, which no browser sends or logs. */
export const setPasswordPath = '/set-password';
