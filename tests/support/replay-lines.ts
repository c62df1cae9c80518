/** A signal as a line of a replay file of the riser `quayside-deluge-1`; what is given replaces what stands here. */
export const signalLine = (id: string, at: string, change: Readonly<Record<string, unknown>> = {}): string =>
  JSON.stringify({
    specversion: '1.0',
    id,
    source: '/quayside-cold-store/panel-2',
    type: 'riser.signal.v1',
    subject: 'deluge-1',
    time: `2026-03-02T${at}Z`,
    data: { signal: 'waterflow', state: 'active' },
    ...change,
  });

/** A station command as a line. */
export const commandLine = (id: string, at: string, data: Readonly<Record<string, unknown>>): string =>
  JSON.stringify({
    specversion: '1.0',
    id,
    source: '/station',
    type: 'riser.command.v1',
    subject: 'deluge-1',
    time: `2026-03-02T${at}Z`,
    data,
  });

/** A link message as a line. */
export const linkLine = (id: string, at: string, link: 'up' | 'down', session: string): string =>
  JSON.stringify({
    specversion: '1.0',
    id,
    source: '/quayside-cold-store/panel-2',
    type: 'riser.link.v1',
    subject: 'deluge-1',
    time: `2026-03-02T${at}Z`,
    data: { link, session, time: `2026-03-02T${at}Z` },
  });

/** A message as it arrived, as a line. */
export const recordedLine = (at: string, payload: Readonly<Record<string, unknown>>): string =>
  JSON.stringify({
    topic: 'risers/v1/quayside-cold-store/deluge-1/signal',
    receivedtime: `2026-03-02T${at}Z`,
    ...payload,
  });
