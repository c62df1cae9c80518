import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { FileMistake, Profile } from '@tidemark/riser';
import { parseProfile } from '@tidemark/riser';
import type { Installed, RiserKey } from '@tidemark/signals';
import type { RiserName } from './riser-fold.ts';
import { nameOf } from './riser-fold.ts';

/** The most profiles of a station. A choice of this project: beyond it sites are split over stations. */
export const profileLimit_files = 10_000;

const ending = '.riser.yaml';

/** What is installed, riser by riser. */
export class ProfileDirectory {
  readonly #profiles: ReadonlyMap<RiserName, Profile>;

  constructor(profiles: readonly Profile[]) {
    this.#profiles = new Map(profiles.map((profile) => [nameOf(profile), profile]));
  }

  get profiles(): ReadonlyMap<RiserName, Profile> {
    return this.#profiles;
  }

  has(riser: RiserName): boolean {
    return this.#profiles.has(riser);
  }

  /** What decoding needs to know of a riser; `undefined` where no profile is. */
  readonly installed = (key: RiserKey): Installed | undefined => {
    const profile = this.#profiles.get(nameOf(key));
    if (profile === undefined) return undefined;
    const { points, contactId } = profile;
    return contactId === undefined ? { points } : { points, contactIdAccount: contactId.account };
  };
}

/** The profiles that can be used, and every mistake in those that cannot. */
export interface ProfilesRead {
  readonly directory: ProfileDirectory;
  readonly mistakes: readonly FileMistake[];
}

/** Reads every `*.riser.yaml` of a folder, in order of their names. */
export async function readProfiles(folder: string): Promise<ProfilesRead> {
  const names = await namesIn(folder);
  const profiles = new Map<RiserName, { readonly profile: Profile; readonly file: string }>();
  const mistakes: FileMistake[] = [];
  for (const name of names.slice(0, profileLimit_files)) {
    const file = join(folder, name);
    const parsed = parseProfile(await readFile(file, 'utf8'), file);
    if (!parsed.ok) {
      mistakes.push(...parsed.failure);
      continue;
    }
    const riser = nameOf(parsed.value);
    const other = profiles.get(riser);
    if (other === undefined) profiles.set(riser, { profile: parsed.value, file });
    else mistakes.push(whole(file, `expected a riser of its own: ${riser} is described by ${other.file} already`));
  }
  if (names.length === 0) mistakes.push(whole(folder, `expected at least one file *${ending}`));
  if (names.length > profileLimit_files)
    mistakes.push(whole(folder, `expected at most ${profileLimit_files} profiles`));
  return { directory: new ProfileDirectory([...profiles.values()].map(({ profile }) => profile)), mistakes };
}

async function namesIn(folder: string): Promise<readonly string[]> {
  try {
    return (await readdir(folder)).filter((name) => name.endsWith(ending)).sort();
  } catch (error) {
    if (error instanceof Error && 'code' in error && (error.code === 'ENOENT' || error.code === 'ENOTDIR')) return [];
    throw error;
  }
}

const whole = (file: string, expected: string): FileMistake => ({ file, line: 1, key: '', expected });
