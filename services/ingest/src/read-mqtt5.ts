import type { Client, ConnectPacket } from 'aedes';

interface Parsing {
  readonly _parser: { settings: object };
}

const parses = (client: unknown): client is Parsing =>
  typeof client === 'object' &&
  client !== null &&
  '_parser' in client &&
  typeof client._parser === 'object' &&
  client._parser !== null &&
  'settings' in client._parser;

/**
 * Lets the broker library read MQTT 5 from a client though it refuses the version. Its parser reads both and takes its
 * settings from the CONNECT packet; the parser is given a copy that says 5, at once, since a client may send on without
 * waiting for CONNACK, and the packet, which the library looks at next, says 3.1.1. Where a later release keeps its
 * parser elsewhere, MQTT 5 clients are refused (0x84) and a test says so.
 */
export function readMqtt5(client: Client, packet: ConnectPacket): void {
  if (!parses(client)) return;
  client._parser.settings = { ...packet };
  packet.protocolVersion = 4;
}
