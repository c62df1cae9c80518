import { deriveEventId } from '@tidemark/journal';
import type { Append, Journal, Position, Revision } from '@tidemark/journal';
import type { Instant, Json } from '@tidemark/kernel';
import { canonicalJson, invariant } from '@tidemark/kernel';
import type { Profile } from '@tidemark/riser';
import { encodeRiserEvent } from '@tidemark/riser';
import type { ProfileDirectory } from './profile-directory.ts';
import type { RiserName, TwinHost } from './riser-fold.ts';
import { streamOf } from './riser-fold.ts';

/** What installing needs. Nobody else writes to the risers' streams meanwhile. */
export interface Installation {
  readonly journal: Journal;
  readonly host: TwinHost;
  readonly directory: ProfileDirectory;
  readonly now: Instant;
}

/** How many profiles go into one commit. */
const batch_profiles = 100;

/**
 * Records each profile that is not the one its riser has: a riser begins with one, and what is installed changes from
 * then on. Resolves when it is folded, with the risers concerned.
 */
export async function installProfiles({ journal, host, directory, now }: Installation): Promise<readonly RiserName[]> {
  const changed = [...directory.profiles].filter(([riser, profile]) => {
    const before = host.get(riser)?.riser.profile;
    return before === undefined || textOf(before) !== textOf(profile);
  });
  for (let start = 0; start < changed.length; start += batch_profiles) {
    const batch = changed.slice(start, start + batch_profiles);
    const appends = await Promise.all(batch.map(([riser, profile]) => installation(journal, { riser, profile, now })));
    const position = await recorded(journal, appends);
    await host.foldedUpTo(position);
  }
  return changed.map(([riser]) => riser);
}

/**
 * The id follows from the profile and from the event after which it is installed: the same again after another one is
 * a new installation, and the same installation tried again is none.
 */
async function installation(
  journal: Journal,
  { riser, profile, now }: { readonly riser: RiserName; readonly profile: Profile; readonly now: Instant },
): Promise<Append> {
  const stream = streamOf('riser', riser);
  let last: Revision | 'no-stream' = 'no-stream';
  for await (const { revision } of journal.readStream(stream, { direction: 'backward', limit: 1 })) last = revision;
  const id = deriveEventId(['profile-installed', stream, last.toString(), textOf(profile)]);
  const event = encodeRiserEvent({ type: 'profile-installed', id, receivedAt: now, profile });
  return { stream, events: [{ id, ...event, metadata: { schema: 1 } }], expected: last };
}

async function recorded(journal: Journal, appends: readonly Append[]): Promise<Position> {
  const results = await journal.appendAll(appends);
  let latest: Position | undefined;
  for (const result of results) {
    invariant(result.ok, 'nobody else writes to a riser while profiles are installed');
    if (latest === undefined || result.value.position > latest) latest = result.value.position;
  }
  invariant(latest !== undefined, 'an installation records something');
  return latest;
}

/** As the journal keeps it: members that are `undefined` are not there. */
const textOf = (profile: Profile): string => canonicalJson(JSON.parse(JSON.stringify(profile)) as Json);
