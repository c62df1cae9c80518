import { seededRandom } from '@tidemark/kernel';
import type { Configuration } from './configuration.ts';
import { readConfiguration } from './configuration.ts';
import { refusalOf, StartRefused } from './start-refused.ts';
import type { Station } from './station.ts';
import { openStation } from './station.ts';
import { systemTime } from './system-time.ts';

/** How long leaving may take before the process ends all the same; the journal is safe at any moment. */
const leaving_ms = 10_000;

/** Runs the station of this process until it is told to leave; resolves with the exit code. */
export async function run(variables: Readonly<Record<string, string | undefined>>): Promise<number> {
  try {
    const configuration = readConfiguration(variables);
    if (!configuration.ok) throw new StartRefused(configuration.failure);
    // Chance only spreads retries here, so that not everything that waits comes back at once.
    const surroundings = { time: systemTime, random: seededRandom(Date.now()) };
    const station = await openStation(configuration.value, surroundings);
    announce(station, configuration.value);
    await Promise.race([toldToLeave(), station.failed]);
    return await leave(station);
  } catch (error) {
    const refusal = refusalOf(error);
    if (!(refusal instanceof StartRefused)) throw error;
    for (const line of refusal.lines) console.error(line);
    return 1;
  }
}

function announce(station: Station, { mqtt, site }: Configuration): void {
  for (const line of station.skipped) console.error(`Left out: ${line}`);
  console.log(`Console  ${station.console_url}`);
  console.log(
    mqtt.kind === 'embedded'
      ? `MQTT     mqtt://${mqtt.host}:${String(station.mqttPort)} (embedded broker)`
      : `MQTT     ${mqtt.broker.host}:${String(mqtt.broker.port)} (external broker)`,
  );
  console.log(`Data     ${station.data_folder}`);
  if (station.first_url !== undefined)
    console.log(`First    ${station.first_url}\n         sets the administrator's password, once and within a day`);
  if (site.kind === 'real') console.log(`Risers   ${String(station.risers)}`);
  else for (const line of demoLines(station)) console.log(line);
}

/** The demo says plainly what it is, and who may try it. */
function demoLines({ risers, demoUsers }: Station): readonly string[] {
  return [
    `Demo     ${String(risers)} risers of an invented site, played on a physical model; nothing here is real. Set TIDEMARK_PROFILES for your own.`,
    '         Log in as one of these; they exist in the demo only, on this machine only:',
    ...demoUsers.map(({ name, password, may }) => `         ${name.padEnd(14)} ${password.padEnd(24)} ${may}`),
  ];
}

const toldToLeave = (): Promise<void> =>
  new Promise((resolve) => {
    for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => resolve());
  });

async function leave(station: Station): Promise<number> {
  const late = setTimeout(() => {
    console.error(`Leaving took longer than ${String(leaving_ms / 1_000)} s; ended without waiting further.`);
    process.exit(1);
  }, leaving_ms);
  await station.close();
  clearTimeout(late);
  return 0;
}
