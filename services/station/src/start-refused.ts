/** The station cannot start as it is set up. The lines say why, and what to do; a person reads them, so no stack is shown. */
export class StartRefused extends Error {
  override readonly name = 'StartRefused';
  readonly code = 'start-refused';
  readonly lines: readonly string[];

  constructor(lines: readonly string[], cause?: unknown) {
    super(lines.join('\n'), { cause });
    this.lines = lines;
  }
}

/** Turns the faults that a person can mend into a refusal; anything else is passed on as it is. */
export function refusalOf(error: unknown): unknown {
  if (!(error instanceof Error) || !('code' in error)) return error;
  const place = 'port' in error && 'address' in error ? `port ${String(error.port)} on ${String(error.address)}` : '';
  switch (error.code) {
    case 'port-in-use':
    case 'port-forbidden':
    case 'open-beyond-loopback':
    case 'cannot-listen':
      return new StartRefused([`${error.message} (TIDEMARK_MQTT_HOST, TIDEMARK_MQTT_PORT)`], error);
    case 'EADDRINUSE':
      return new StartRefused(
        [`The console cannot listen: ${place} is in use. Stop what uses it, or choose another TIDEMARK_HTTP_PORT.`],
        error,
      );
    case 'EACCES':
    case 'EADDRNOTAVAIL':
      return new StartRefused(
        [`The console cannot listen on ${place}. Choose another TIDEMARK_HTTP_HOST or TIDEMARK_HTTP_PORT.`],
        error,
      );
    case 'journal-in-use':
    case 'unknown-journal-format':
      return new StartRefused([`The journal cannot be opened: ${error.message}. (TIDEMARK_DATA)`], error);
    default:
      return error;
  }
}
