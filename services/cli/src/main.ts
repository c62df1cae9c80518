import { instant } from '@tidemark/kernel';
import { runTidemark } from './run.ts';

const stop = new AbortController();
for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => stop.abort());

process.exitCode = await runTidemark(process.argv.slice(2), {
  out: process.stdout,
  err: process.stderr,
  environment: process.env,
  now: () => instant(Date.now()),
  stop: stop.signal,
});
