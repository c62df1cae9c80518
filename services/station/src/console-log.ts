import type { LoggerService } from '@nestjs/common';

/** What the framework says for itself when it cannot listen; it throws the same, and we say it in our own words. */
const framework = 'NestApplication';

/** Warnings and errors of the console's framework, a line each on standard error; nothing of its chatter. */
export const consoleLog: LoggerService = {
  log: () => undefined,
  warn: (message: unknown, ...rest: readonly unknown[]) => write(message, rest),
  error: (message: unknown, ...rest: readonly unknown[]) => write(message, rest),
};

function write(message: unknown, rest: readonly unknown[]): void {
  const context = rest.at(-1);
  if (context !== framework) console.error(`Console: ${String(message)}`);
}
