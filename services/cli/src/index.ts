export { indexLines, linesInOrder } from './replay/line-index.ts';
export type { LineIndex, ReplayLine } from './replay/line-index.ts';
export { Replay } from './replay/replay.ts';
export type { ReplayCounts, ReplayNews } from './replay/replay.ts';
export { runTidemark } from './run.ts';
export type { Terminal } from './terminal.ts';
