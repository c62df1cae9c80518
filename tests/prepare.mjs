// What the tests need beside npm packages: a real broker, its clients and a browser. Called by `npm test`.
import { spawnSync } from 'node:child_process';
import { accessSync, constants, existsSync } from 'node:fs';
import { delimiter, join } from 'node:path';

const needed = [
  { package: 'mosquitto', commands: ['mosquitto'] },
  { package: 'mosquitto-clients', commands: ['mosquitto_pub', 'mosquitto_sub'] },
  { package: 'chromium', commands: ['chromium', 'chromium-browser'], any: true },
];

/** System daemons lie outside an ordinary user's PATH. */
const folders = [...(process.env.PATH ?? '').split(delimiter), '/usr/sbin', '/usr/local/sbin'];

const runs = (command) =>
  folders.some((folder) => {
    try {
      accessSync(join(folder, command), constants.X_OK);
      return true;
    } catch {
      return false;
    }
  });

const missing = () =>
  needed.filter(({ commands, any }) => !(any === true ? commands.some(runs) : commands.every(runs)));

function install(packages) {
  const options = { stdio: 'inherit', env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' } };
  const updated = spawnSync('apt-get', ['update', '-q'], options);
  if (updated.status !== 0) return;
  spawnSync('apt-get', ['install', '-y', '-q', '--no-install-recommends', ...packages], options);
}

const names = () => missing().map((each) => each.package);

if (names().length > 0 && process.getuid?.() === 0 && existsSync('/etc/debian_version')) {
  console.log(`The tests need ${names().join(', ')}: installing from Debian.`);
  install(names());
}
if (names().length > 0) {
  console.error(`The tests need programs that are not here: ${names().join(', ')}.`);
  console.error(`Install them, on Debian or Ubuntu with: sudo apt-get install ${names().join(' ')}`);
  process.exit(1);
}
