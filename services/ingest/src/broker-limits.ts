/** What the embedded broker takes from its clients. Choices of this project; each can be set, none can be left out. */
export interface BrokerLimits {
  readonly connections: number;
  /** The largest packet; a larger one ends its connection (MQTT 5: reason 0x95). */
  readonly packet_bytes: number;
  /** Levels of a topic or filter; ours have five. */
  readonly topicLevels: number;
  /** PUBLISH packets a second of one client on the average; a faster one is read more slowly, nothing is dropped. */
  readonly publishes_s: number;
  /** How many may come at once on top of that. */
  readonly publishBurst: number;
  /** Subscriptions of one client. */
  readonly subscriptions: number;
  /** What the broker tells an MQTT 5 client it may have unacknowledged. */
  readonly receiveMaximum: number;
  /** How long a connection may take to say CONNECT. */
  readonly connect_ms: number;
  /** How long a reader may leave bytes unread before it is cut off, so that it holds up nobody. */
  readonly drain_ms: number;
  /** Packets a client may send before its CONNECT is answered. */
  readonly early: number;
  /** Passwords being checked at once; each takes 32 MiB (credentials.ts). */
  readonly passwordChecks: number;
}

/** The limits where none are set. */
export const defaultBrokerLimits: BrokerLimits = {
  connections: 1_000,
  packet_bytes: 2 * 1024 * 1024,
  topicLevels: 8,
  publishes_s: 20_000,
  publishBurst: 20_000,
  subscriptions: 50,
  receiveMaximum: 1_000,
  connect_ms: 10_000,
  drain_ms: 5_000,
  early: 200,
  passwordChecks: 4,
};
