import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describeMistake, parseProfile } from '@tidemark/riser';
import type { Profile } from '@tidemark/riser';
import { parseScenario } from '@tidemark/scenario';
import type { HeardScenario } from '@tidemark/scenario';

/** A story with its riser, read. */
export interface Story {
  /** The file's name without `.yaml`. */
  readonly name: string;
  readonly scenario: HeardScenario;
  readonly profile: Profile;
}

const folder = fileURLToPath(new URL('../../scenarios', import.meta.url));

/** Every recorded story of `scenarios/`; a file that cannot be read fails with its mistakes. */
export const stories = (): readonly Story[] =>
  readdirSync(folder)
    .filter((file) => file.endsWith('.yaml'))
    .sort()
    .map((file) => readStory(join(folder, file), file));

/** The example that `scenarios/README.md` shows. */
export function exampleStory(): Story {
  const [, text] = /^```yaml\n([^]*?)^```/m.exec(readFileSync(join(folder, 'README.md'), 'utf8')) ?? [];
  return storyOf(text ?? '', join(folder, 'README.md'), 'README.md');
}

const readStory = (path: string, file: string): Story => storyOf(readFileSync(path, 'utf8'), path, file);

function storyOf(text: string, path: string, file: string): Story {
  const scenario = parseScenario(text, file);
  if (!scenario.ok) throw new Error(scenario.failure.map(describeMistake).join('\n'));
  if (!('heard' in scenario.value)) throw new Error(`${file}: expected a story told by what was heard`);
  const { riser } = scenario.value;
  const profile = 'profile' in riser ? riser.profile : readProfile(resolve(dirname(path), riser.file));
  return { name: file.replace(/\.yaml$/, ''), scenario: scenario.value, profile };
}

function readProfile(path: string): Profile {
  const profile = parseProfile(readFileSync(path, 'utf8'), path);
  if (!profile.ok) throw new Error(profile.failure.map(describeMistake).join('\n'));
  return profile.value;
}
