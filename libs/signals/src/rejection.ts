import type { RiserKey } from './signal.ts';

/** Why a message is not a signal. Closed: a reader of the quarantine may rely on the list. */
export type RejectionReason =
  /** The topic is not `{prefix}/{account}/{riser}/{channel}`. */
  | 'foreign-topic'
  /** The channel is one the station writes to or does not read. */
  | 'wrong-channel'
  /** No profile is installed for the riser. */
  | 'unknown-riser'
  | 'unsupported-content-type'
  /** A CloudEvent in binary mode, its attributes outside the payload. */
  | 'binary-mode'
  | 'empty-payload'
  | 'too-large'
  | 'not-utf8'
  | 'not-json'
  | 'duplicate-key'
  | 'too-deep'
  /** JSON, but an attribute of the CloudEvent is missing or malformed. */
  | 'not-a-cloud-event'
  /** A CloudEvent of another type. */
  | 'unsupported-type'
  /** `data.signal` is not a word of the vocabulary. */
  | 'unknown-signal'
  /** `data` does not say what its signal needs, or says too much. */
  | 'malformed-data'
  | 'malformed-link'
  | 'wrong-account'
  | 'wrong-riser'
  | 'malformed-contact-id'
  | 'wrong-checksum'
  /** A Contact ID event code for which the vocabulary has no signal. */
  | 'code-not-mapped'
  /** In a replay file: a recording that lacks its topic, receipt time or payload. */
  | 'malformed-recording'
  /** In a replay file: a command that does not say what it needs. */
  | 'malformed-command'
  /** In a replay file: neither a receipt time nor a time. */
  | 'no-receipt-time';

/** What was wrong: `detail` is one sentence that names the place and what was expected there. */
export interface Refusal {
  readonly reason: RejectionReason;
  readonly detail: string;
}

/** A refusal with the riser whose topic it came on, where the topic names one. */
export interface Rejection extends Refusal {
  readonly key?: RiserKey;
}

/** A detail is for people; a payload that fills it with rubbish is cut here. */
const maximumDetail_characters = 400;

/** A refusal with its sentence cut to a readable length. */
export const refusal = (reason: RejectionReason, detail: string): Refusal => ({
  reason,
  detail: detail.length <= maximumDetail_characters ? detail : `${detail.slice(0, maximumDetail_characters)}…`,
});
