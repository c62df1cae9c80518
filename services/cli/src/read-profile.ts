import { readFile } from 'node:fs/promises';
import type { Profile } from '@tidemark/riser';
import { describeMistake, parseProfile } from '@tidemark/riser';
import { cannotRead, CommandFailed } from './command-failed.ts';

/** Reads a profile, or fails with a line for each mistake: file, line, key, what was expected. */
export async function readProfile(path: string): Promise<Profile> {
  let text: string;
  try {
    text = await readFile(path, 'utf8');
  } catch (error) {
    throw cannotRead(path, error);
  }
  const profile = parseProfile(text, path);
  if (profile.ok) return profile.value;
  throw new CommandFailed(profile.failure.map(describeMistake).join('\n'));
}
