import { readFile } from 'node:fs/promises';
import type { DemoUser, DeskOptions, DeskPorts, OpenDesk } from '@tidemark/desk';
import { ensurePage, journalCommands, journalShift, loopback, openAccess, openDesk, pastView } from '@tidemark/desk';
import type { IngestOptions } from '@tidemark/ingest';
import { Credential, Ingest } from '@tidemark/ingest';
import type { Random } from '@tidemark/kernel';
import { MqttSink } from '@tidemark/mqtt';
import { describeMistake } from '@tidemark/riser';
import { FileSnapshots } from '@tidemark/runtime';
import type { Time } from '@tidemark/runtime';
import { foldVersion, LiveTwin, readProfiles } from '@tidemark/twin';
import type { ProfileDirectory } from '@tidemark/twin';
import { z } from 'zod';
import type { Configuration } from './configuration.ts';
import { consoleLog } from './console-log.ts';
import type { StationData } from './data-folder.ts';
import { openData } from './data-folder.ts';
import { readDemoSite } from './demo/demo-story.ts';
import type { DemoStory } from './demo/demo-story.ts';
import { StoryPanel } from './demo/story-panel.ts';
import { throughIngest, throughSink } from './publishers.ts';
import { StartRefused } from './start-refused.ts';
import { StationHealth } from './station-health.ts';
import { acceleratedTime } from './system-time.ts';

/** What the process gives the station. */
export interface Surroundings {
  readonly time: Time;
  readonly random: Random;
}

/** A station that runs. */
export interface Station {
  readonly console_url: string;
  /** The one-time link that sets the first administrator's password; absent once somebody administers the station, unless asked for. */
  readonly first_url: string | undefined;
  /** Who may try the demo; nobody on a real site. */
  readonly demoUsers: readonly DemoUser[];
  /** Where the embedded broker listens; absent with an external one. */
  readonly mqttPort: number | undefined;
  readonly data_folder: string;
  readonly risers: number;
  /** Profiles that were left out because of mistakes, line by line. */
  readonly skipped: readonly string[];
  /** Rejected with a bug that ended a part; the process should end. */
  readonly failed: Promise<unknown>;
  close(): Promise<void>;
}

interface Site {
  readonly directory: ProfileDirectory;
  readonly stories: readonly DemoStory[];
  readonly skipped: readonly string[];
}

/** Undoes what was opened, last first. */
class Closing {
  readonly #steps: (() => Promise<void> | void)[] = [];

  add(step: () => Promise<void> | void): void {
    this.#steps.push(step);
  }

  async run(): Promise<void> {
    for (let step = this.#steps.pop(); step !== undefined; step = this.#steps.pop()) await step();
  }
}

/**
 * Opens the whole station, in the order in which each part can rely on the one before: the journal, the twin, which
 * lets the time pass that passed meanwhile, the door for signals, what is published, the console, the demo. Closing
 * goes the other way. When something cannot be opened, what was is closed again.
 */
export async function openStation(configuration: Configuration, surroundings: Surroundings): Promise<Station> {
  const closing = new Closing();
  try {
    return await open(configuration, surroundings, closing);
  } catch (error) {
    await closing.run();
    throw error;
  }
}

async function open(
  configuration: Configuration,
  { time: real, random }: Surroundings,
  closing: Closing,
): Promise<Station> {
  const { site: kind, prefix } = configuration;
  const time = kind.kind === 'demo' && kind.speed !== 1 ? acceleratedTime(real, kind.speed) : real;
  const site = await readSite(kind);
  const page_folder = await ensurePage();
  const data = await openData(configuration, time.now);
  closing.add(() => data.journal.close());
  const { journal } = data;
  const twin = await startTwin(data, { directory: site.directory, prefix, time, random, closing });
  const ingest = await Ingest.open({
    ...(await doorOf(configuration)),
    journal,
    prefix,
    now: time.now,
    random: random.fork('ingest'),
    installed: site.directory.installed,
  });
  closing.add(() => ingest.close());
  publish(twin, ingest, { configuration, random, closing });
  const health = new StationHealth(ingest.health, twin.health);
  closing.add(() => health.close());
  const access = await openAccess({
    journal,
    // People and their sessions live by the real time, also where a demo runs faster.
    clock: real.now,
    ...(kind.kind === 'demo' ? { demoAccounts: accountsOf(site.directory) } : {}),
  });
  const first = await access.people.firstLink(configuration.administratorLink ?? 'first');
  const desk = await openConsole(
    { configuration, page_folder },
    {
      views: {
        views: () => twin.views.views(),
        view: (key) => twin.views.view(key),
        alertPolicy: (key) => twin.views.alertPolicy(key),
        past: (key, moment) => pastView(journal, key, moment),
        position: () => twin.views.position(),
        following: () => twin.views.following(),
        changes: twin.views.changes,
      },
      commands: journalCommands(journal, time.now),
      shift: journalShift(journal, time.now),
      journal,
      parts: () => health.parts,
      clock: time.now,
      access,
    },
  );
  closing.add(() => desk.close());
  const played = playDemo(site.stories, { mqttPort: ingest.port, prefix, time, random, closing });
  return {
    console_url: desk.url,
    first_url: first === undefined ? undefined : `${desk.url}${first}`,
    demoUsers: access.demoUsers,
    mqttPort: ingest.port,
    data_folder: data.folder,
    risers: site.directory.profiles.size,
    skipped: site.skipped,
    failed: Promise.race([twin.failed, played]),
    close: () => closing.run(),
  };
}

const accountsOf = ({ profiles }: ProfileDirectory): readonly string[] => [
  ...new Set([...profiles.values()].map(({ account }) => account)),
];

async function readSite(site: Configuration['site']): Promise<Site> {
  if (site.kind === 'demo') return { ...(await readDemoSite()), skipped: [] };
  const { directory, mistakes } = await readProfiles(site.profiles_folder);
  const lines = mistakes.map(describeMistake);
  if (lines.length > 0 && !site.skipWrong)
    throw new StartRefused([
      ...lines,
      'Mend these profiles, or set TIDEMARK_WRONG_PROFILES=skip to start without them.',
    ]);
  if (directory.profiles.size === 0) throw new StartRefused(lines);
  return { directory, stories: [], skipped: lines };
}

interface Making {
  readonly directory: ProfileDirectory;
  readonly prefix: string;
  readonly time: Time;
  readonly random: Random;
  readonly closing: Closing;
}

async function startTwin({ journal, snapshot_file }: StationData, { closing, ...making }: Making): Promise<LiveTwin> {
  const snapshots = { store: new FileSnapshots(snapshot_file), version: await foldVersion() };
  const twin = new LiveTwin({ ...making, journal, random: making.random.fork('twin'), snapshots });
  await twin.start();
  closing.add(() => twin.stop());
  return twin;
}

async function doorOf({ mqtt }: Configuration): Promise<Pick<IngestOptions, 'embedded' | 'external'>> {
  if (mqtt.kind === 'external') return { external: { broker: mqtt.broker, clientId: mqtt.clientId } };
  const { host, port, credentials_file } = mqtt;
  const credentials = credentials_file === undefined ? undefined : await readCredentials(credentials_file);
  return { embedded: { host, port, ...(credentials === undefined ? {} : { credentials }) } };
}

async function readCredentials(file: string): Promise<readonly Credential[]> {
  try {
    return z.array(Credential).parse(JSON.parse(await readFile(file, 'utf8')));
  } catch (cause) {
    const why = cause instanceof z.ZodError ? z.prettifyError(cause) : String(cause);
    throw new StartRefused([`${file} (TIDEMARK_MQTT_CREDENTIALS): expected a JSON list of credentials: ${why}`], cause);
  }
}

/** Ends publishing before the door is closed, since the embedded broker is both. */
function publish(
  twin: LiveTwin,
  ingest: Ingest,
  {
    configuration,
    random,
    closing,
  }: { readonly configuration: Configuration; readonly random: Random; readonly closing: Closing },
): void {
  const { mqtt } = configuration;
  if (mqtt.kind === 'external') {
    const sink = new MqttSink({ broker: mqtt.broker, clientId: `${mqtt.clientId}-twin`, random: random.fork('sink') });
    closing.add(() => sink.close());
    twin.publishTo(throughSink(sink));
  } else {
    twin.publishTo(throughIngest(ingest));
  }
  closing.add(() => twin.stopPublishing());
}

async function openConsole(
  { configuration: { http }, page_folder }: { readonly configuration: Configuration; readonly page_folder: string },
  ports: DeskPorts,
): Promise<OpenDesk> {
  const hosts = [...new Set([...loopback.hosts, http.host, ...http.names])];
  const tls = await tlsOf(http);
  const where = { address: http.host, port: http.port, hosts, page_folder, logger: consoleLog };
  return openDesk(ports, { ...where, ...(tls === undefined ? {} : { tls }) });
}

async function tlsOf({ tls }: Configuration['http']): Promise<DeskOptions['tls']> {
  if (tls === undefined || tls === 'proxy') return tls;
  try {
    return { cert: await readFile(tls.certificate_file, 'utf8'), key: await readFile(tls.key_file, 'utf8') };
  } catch (cause) {
    throw new StartRefused([`${String(cause)} (TIDEMARK_HTTP_CERTIFICATE, TIDEMARK_HTTP_KEY)`], cause);
  }
}

interface Playing {
  readonly mqttPort: number | undefined;
  readonly prefix: string;
  readonly time: Time;
  readonly random: Random;
  readonly closing: Closing;
}

/** The panels of the demo site, each with its story. Resolves never while there is nothing to play. */
function playDemo(stories: readonly DemoStory[], { mqttPort, closing, ...rest }: Playing): Promise<unknown> {
  if (stories.length === 0 || mqttPort === undefined) return new Promise(() => undefined);
  const broker = { host: '127.0.0.1', port: mqttPort };
  const panels = stories.map((story) => {
    const random = rest.random.fork(`${story.key.account}/${story.key.riser}`);
    return new StoryPanel(story, { ...rest, broker, random });
  });
  closing.add(() => Promise.all(panels.map((panel) => panel.stop())).then(() => undefined));
  return Promise.all(panels.map((panel) => panel.play())).then(() => new Promise(() => undefined));
}
