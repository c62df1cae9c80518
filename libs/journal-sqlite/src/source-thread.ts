import { Worker } from 'node:worker_threads';

/** Whether this package runs from its sources (DEVELOPERS, decision 1) rather than from what was built. */
const isSource = import.meta.url.endsWith('.ts');

/** What a thread is told: which module it runs, and what that module needs. */
export interface ThreadData {
  readonly module: string;
  readonly data: string;
}

/**
 * Starts a module of this package, named without its ending, on a thread of its own. Built, it is JavaScript like any
 * other. From source the process may run under tsx (`npm start`) or Vitest (tests), and neither reaches into a thread;
 * so the thread begins with a few lines of JavaScript that register tsx there.
 */
export function startThread(name: string, data: string): Worker {
  const module = new URL(`./${name}${isSource ? '.ts' : '.js'}`, import.meta.url);
  const workerData: ThreadData = { module: module.href, data };
  if (!isSource) return new Worker(module, { workerData });
  const start = new URL('./thread-from-source.mjs', import.meta.url);
  return new Worker(start, { workerData, execArgv: ['--conditions=tidemark-source'] });
}
