import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describeMistake } from '@tidemark/riser';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { readProfiles } from '../src/index.ts';
import { profileText } from './support.ts';

describe('the directory of profiles', () => {
  let folder = '';
  beforeEach(async () => (folder = await mkdtemp(join(tmpdir(), 'tidemark-profiles-'))));
  afterEach(() => rm(folder, { recursive: true }));
  const write = (name: string, text: string) => writeFile(join(folder, name), text);

  it('says what is installed at a riser, and nothing of one that is not there', async () => {
    await write('one.riser.yaml', profileText('deluge-1', 'contactId: { account: "1234" }'));
    await write('two.riser.yaml', profileText('deluge-2'));
    await write('notes.txt', 'not a profile');

    const { directory, mistakes } = await readProfiles(folder);

    expect(mistakes).toEqual([]);
    expect([...directory.profiles.keys()]).toEqual(['quayside-cold-store/deluge-1', 'quayside-cold-store/deluge-2']);
    const points = [1, 3, 4, 5, 6];
    const installed = directory.installed({ account: 'quayside-cold-store', riser: 'deluge-1' });
    expect({ ...installed, points: installed?.points.map(({ point }) => point) }).toEqual({
      contactIdAccount: '1234',
      points,
    });
    expect(directory.installed({ account: 'quayside-cold-store', riser: 'deluge-2' })).not.toHaveProperty(
      'contactIdAccount',
    );
    expect(directory.installed({ account: 'elsewhere', riser: 'deluge-1' })).toBeUndefined();
  });

  it('names every mistake in every file, with its line and key, and keeps the files that are right', async () => {
    await write(
      'a.riser.yaml',
      profileText('deluge-1').replace('electric', 'steam').replace('Europe/Oslo', 'Europe/Nowhere'),
    );
    await write('b.riser.yaml', profileText('deluge-2'));
    await write('c.riser.yaml', profileText('deluge-2'));
    await write('d.riser.yaml', 'account: [');

    const { directory, mistakes } = await readProfiles(folder);

    const lines = mistakes.map((mistake) => describeMistake(mistake).replace(`${folder}/`, ''));
    expect([...directory.profiles.keys()]).toEqual(['quayside-cold-store/deluge-2']);
    expect(lines.slice(0, 3).map((line) => line.replace(folder, '').slice(0, 60))).toEqual([
      'a.riser.yaml:4: site.timeZone: expected an IANA time zone, e.g. Europe/Oslo'.slice(0, 60),
      'a.riser.yaml:5: release: expected electric, wet-pilot or dry-pilot'.slice(0, 60),
      `c.riser.yaml:1: expected a riser of its own: quayside-cold-store/deluge-2 is described by`.slice(0, 60),
    ]);
    expect(lines[3]).toMatch(/^d\.riser\.yaml:\d+: expected YAML: /);
  });

  it('finds it a mistake that a folder holds no profile, or is not there', async () => {
    await mkdir(join(folder, 'empty'));

    for (const name of ['empty', 'absent']) {
      const { mistakes } = await readProfiles(join(folder, name));
      expect(mistakes).toEqual([
        { file: join(folder, name), line: 1, key: '', expected: 'expected at least one file *.riser.yaml' },
      ]);
    }
  });
});
