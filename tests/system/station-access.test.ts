import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { instant, seededRandom } from '@tidemark/kernel';
import { TestClock } from '@tidemark/runtime';
import type { Configuration, Station } from '@tidemark/station';
import { openStation, StartRefused } from '@tidemark/station';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { enter, takeOver } from '../support/enter-station.ts';
import { testCertificate } from '../support/test-certificate.ts';
import { profileText } from './station-process.ts';

let folder: string;
let station: Station | undefined;

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'tidemark-access-'));
  await writeFile(join(folder, 'deluge-1.riser.yaml'), profileText);
  await writeFile(join(folder, 'console.pem'), testCertificate.cert);
  await writeFile(join(folder, 'console.key'), testCertificate.key);
});

afterEach(async () => {
  await station?.close();
  station = undefined;
  await rm(folder, { recursive: true, force: true });
});

type Changes = Pick<Configuration, 'administratorLink'> & { readonly tls?: Configuration['http']['tls'] };

async function start({ tls, ...changes }: Changes = {}): Promise<Station> {
  await station?.close();
  station = undefined;
  const configuration: Configuration = {
    data_folder: join(folder, 'data'),
    http: { host: '127.0.0.1', port: 0, names: [], ...(tls === undefined ? {} : { tls }) },
    mqtt: { kind: 'embedded', host: '127.0.0.1', port: 0 },
    prefix: 'risers/v1',
    site: { kind: 'real', profiles_folder: folder, skipWrong: false },
    ...changes,
  };
  const time = new TestClock(instant(Date.parse('2026-03-02T08:00:00Z')));
  station = await openStation(configuration, { time, random: seededRandom(1) });
  return station;
}

const risersFor = async ({ console_url }: Station, headers: Readonly<Record<string, string>>): Promise<number> =>
  (await fetch(`${console_url}/api/risers`, { headers })).status;

describe('a real site', () => {
  it('knows its people after a restart, lets no session of before in, and prints no first link any more', async () => {
    const first = await start();
    await takeOver(first.first_url ?? '');
    const session = await enter(first.console_url);
    expect(await risersFor(first, session)).toBe(200);

    const second = await start();

    expect(second.first_url).toBeUndefined();
    // A cookie of the old address by its new name: only the secret can be at fault.
    const secret = session['cookie']?.split('=')[1] ?? '';
    const cookie = `tidemark-session-${new URL(second.console_url).port}=${secret}`;
    expect(await risersFor(second, { cookie })).toBe(401);
    expect(await risersFor(second, await enter(second.console_url))).toBe(200);
    expect(second.demoUsers).toEqual([]);
  });

  it('prints a new link for its administrator when it is told to', async () => {
    await takeOver((await start()).first_url ?? '');

    const again = await start({ administratorLink: 'new' });

    await expect(takeOver(again.first_url ?? '')).resolves.toBeUndefined();
  });

  it('speaks TLS with a certificate of its own, and says which file it cannot read', async () => {
    const tls = { certificate_file: join(folder, 'console.pem'), key_file: join(folder, 'console.key') };
    const { console_url, first_url } = await start({ tls });

    expect([console_url, first_url]).toEqual([
      expect.stringMatching(/^https:\/\/127\.0\.0\.1:\d+$/),
      expect.stringMatching(/^https:\/\/127\.0\.0\.1:\d+\/set-password#/),
    ]);
    const missing = join(folder, 'missing.pem');
    const refused = await start({ tls: { ...tls, certificate_file: missing } }).catch((error: unknown) => error);
    expect(refused).toBeInstanceOf(StartRefused);
    expect((refused as StartRefused).lines.join()).toMatch(/missing\.pem.*\(TIDEMARK_HTTP_CERTIFICATE/);
  });
});
