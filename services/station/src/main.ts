import { tooOld } from './node-version.ts';

const complaint = tooOld(process.version);
if (complaint !== undefined) {
  console.error(complaint);
  process.exit(1);
}

// Only now: what it loads may not even be understood by an older Node.
const { run } = await import('./run.ts');
process.exit(await run(process.env));
