/** A message for the world; QoS 1. */
export interface PublishedMessage {
  readonly topic: string;
  readonly payload: string;
  readonly retain: boolean;
  readonly contentType: string;
}

/** Where states and findings go. */
export interface Publisher {
  /** Resolves when the broker has the message; rejects with a `PublishFault` when it has not. */
  publish(message: PublishedMessage): Promise<void>;
}

/** The broker did not take a message. It is tried again. */
export class PublishFault extends Error {
  override readonly name = 'PublishFault';
  readonly code = 'publish-failed';

  constructor(topic: string, detail: string, cause?: unknown) {
    super(`${topic} could not be published: ${detail}`, { cause });
  }
}
