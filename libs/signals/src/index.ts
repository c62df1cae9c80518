export { cloudEventContentType, contactIdContentType } from './content-form.ts';
export { formatContactId } from './contact-id.ts';
export type { ContactIdFailure, ContactIdMessage } from './contact-id.ts';
export { decode } from './decode.ts';
export type { Decoded, DecodeOptions, Message } from './decode.ts';
export { encodeLink, encodeSignal, signalEventOf } from './encode.ts';
export type { Encoded } from './encode.ts';
export type { Installed } from './installed.ts';
export { maximumPayload_bytes } from './json-text.ts';
export type { Link } from './read-link.ts';
export type { Rejection, RejectionReason } from './rejection.ts';
export type { SignalData, SignalEvent } from './signal-schema.ts';
export type { RiserKey, Signal, SignalContent } from './signal.ts';
export { defaultPrefix, filterOf, parseTopic, topicOf } from './topics.ts';
export type { Channel, Topic, TopicFailure } from './topics.ts';
export {
  actNames,
  classOf,
  contactNames,
  isAct,
  isInitiating,
  isReading,
  signalNames,
  vocabulary,
} from './vocabulary.ts';
export type { ActName, ContactName, ContactState, ReadingName, SignalClass, SignalName } from './vocabulary.ts';
