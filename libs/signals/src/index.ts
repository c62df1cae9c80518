export { asyncApiDocument } from './async-api.ts';
export { contactPayload, outputPayload } from './bench-schema.ts';
export type { ContactPayload, OutputPayload } from './bench-schema.ts';
export { formatContactId } from './contact-id.ts';
export type { ContactIdFailure, ContactIdMessage } from './contact-id.ts';
export { cloudEventContentType, contactIdContentType } from './content-form.ts';
export { decode } from './decode.ts';
export type { Decoded, DecodeOptions, Message } from './decode.ts';
export { encodeLink, encodeSignal, signalEventOf } from './encode.ts';
export type { Encoded } from './encode.ts';
export { findingPayload } from './finding-schema.ts';
export type { FindingPayload } from './finding-schema.ts';
export type { Installed } from './installed.ts';
export { jsonSchemas } from './json-schemas.ts';
export type { SchemaName } from './json-schemas.ts';
export { maximumPayload_bytes } from './json-text.ts';
export type { Link } from './read-link.ts';
export type { Refusal, Rejection, RejectionReason } from './rejection.ts';
export { readReplayLine, recordingLine } from './replay-line.ts';
export type { ReplayEntry, ReplayOptions } from './replay-line.ts';
export type { CommandData } from './replay-schema.ts';
export type { SignalData, SignalEvent } from './signal-schema.ts';
export type { RiserKey, Signal, SignalContent } from './signal.ts';
export { statePayload } from './state-schema.ts';
export type { StatePayload } from './state-schema.ts';
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
} from '@tidemark/words';
export type { ActName, ContactName, ContactState, ReadingName, SignalClass, SignalName } from '@tidemark/words';
