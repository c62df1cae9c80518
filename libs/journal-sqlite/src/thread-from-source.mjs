// Begins a thread that runs from source: tsx, which `--import` registers on the main thread only, is registered here
// too, and then the module the thread is for is loaded. JavaScript, since nothing reads TypeScript before that.
import { workerData } from 'node:worker_threads';
import { register } from 'tsx/esm/api';

register();
await import(workerData.module);
