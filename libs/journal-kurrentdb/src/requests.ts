import { randomUUID } from 'node:crypto';
import shared from '@eventstore/db-client/generated/shared_pb.js';
import type { ReadReq as ReadRequest, BatchAppendReq } from '@eventstore/db-client/generated/streams_pb.js';
import streams from '@eventstore/db-client/generated/streams_pb.js';
import empties from 'google-protobuf/google/protobuf/empty_pb.js';
import type { Position, Revision } from '@tidemark/journal';

/** Which part of one of the server's streams to read. */
export interface StreamRequest {
  readonly stream: string;
  readonly direction: 'forward' | 'backward';
  /** Itself included; absent: from the start, or backward from the end. */
  readonly from: Revision | undefined;
  readonly limit: number;
}

/** Which part of the server's whole log to read. */
export interface LogRequest {
  readonly direction: 'forward' | 'backward';
  /** Forward this position itself is included, backward it is not; absent: from the start or the end. */
  readonly from: Position | undefined;
  readonly prefixes: readonly string[];
  readonly limit: number;
}

/** An event in the form in which the server keeps it. */
export interface ProposedEvent {
  readonly serverId: string;
  readonly type: string;
  readonly data: string;
  readonly metadata: string;
}

/** What one append tells the server. */
export interface Proposal {
  readonly stream: string;
  readonly expected: Revision | 'no-stream';
  readonly events: readonly ProposedEvent[];
}

/** How many events the server looks at before it says how far it got, where few of them match a filter. */
const searchWindow_events = 1_000;

/** The server reads a limit as 64 bits, but has no word for "no limit". */
const noLimit = 2n ** 63n - 1n;

/** Asks for a part of a stream. */
export function streamRequest({ stream, direction, from, limit }: StreamRequest): ReadRequest {
  const place = new streams.ReadReq.Options.StreamOptions();
  place.setStreamIdentifier(identifierOf(stream));
  if (from !== undefined) place.setRevision(String(from));
  else if (direction === 'forward') place.setStart(new shared.Empty());
  else place.setEnd(new shared.Empty());
  const options = readOptions(direction);
  options.setStream(place);
  options.setCount(countOf(limit));
  options.setNoFilter(new shared.Empty());
  return requestOf(options);
}

/** Asks for a part of the log, of the streams that begin with one of the prefixes. */
export function logRequest({ direction, from, prefixes, limit }: LogRequest): ReadRequest {
  const place = new streams.ReadReq.Options.AllOptions();
  if (from !== undefined) place.setPosition(positionOf(from));
  else if (direction === 'forward') place.setStart(new shared.Empty());
  else place.setEnd(new shared.Empty());
  const options = readOptions(direction);
  options.setAll(place);
  options.setCount(countOf(limit));
  options.setFilter(filterOf(prefixes));
  return requestOf(options);
}

/** Asks for what lies strictly after the position, and for what is recorded from then on. */
export function subscriptionRequest(after: Position | undefined, prefixes: readonly string[]): ReadRequest {
  const place = new streams.ReadReq.Options.AllOptions();
  if (after === undefined) place.setStart(new shared.Empty());
  else place.setPosition(positionOf(after));
  const options = readOptions('forward');
  options.setAll(place);
  options.setSubscription(new streams.ReadReq.Options.SubscriptionOptions());
  options.setFilter(filterOf(prefixes));
  return requestOf(options);
}

/**
 * Proposes events. It carries no deadline: the protocol would have it as a time of this machine's clock, so a clock
 * that is behind would have every append refused; the server then uses its own limit, and we ours.
 */
export function appendRequest({ stream, expected, events }: Proposal): BatchAppendReq {
  const options = new streams.BatchAppendReq.Options();
  options.setStreamIdentifier(identifierOf(stream));
  if (expected === 'no-stream') options.setNoStream(new empties.Empty());
  else options.setStreamPosition(String(expected));
  const correlation = new shared.UUID();
  correlation.setString(randomUUID());
  const request = new streams.BatchAppendReq();
  request.setCorrelationId(correlation);
  request.setOptions(options);
  request.setProposedMessagesList(events.map(messageOf));
  request.setIsFinal(true);
  return request;
}

function messageOf({ serverId, type, data, metadata }: ProposedEvent): BatchAppendReq.ProposedMessage {
  const id = new shared.UUID();
  id.setString(serverId);
  const message = new streams.BatchAppendReq.ProposedMessage();
  message.setId(id);
  message.getMetadataMap().set('type', type).set('content-type', 'application/json');
  message.setData(Buffer.from(data));
  message.setCustomMetadata(Buffer.from(metadata));
  return message;
}

/** Answers must come from the leader: another node may not know yet what the leader has acknowledged. */
function readOptions(direction: 'forward' | 'backward'): ReadRequest.Options {
  const ids = new streams.ReadReq.Options.UUIDOption();
  ids.setString(new shared.Empty());
  const options = new streams.ReadReq.Options();
  const { FORWARDS, BACKWARDS } = streams.ReadReq.Options.ReadDirection;
  options.setReadDirection(direction === 'forward' ? FORWARDS : BACKWARDS);
  options.setUuidOption(ids);
  return options;
}

function requestOf(options: ReadRequest.Options): ReadRequest {
  const request = new streams.ReadReq();
  request.setOptions(options);
  return request;
}

function filterOf(prefixes: readonly string[]): ReadRequest.Options.FilterOptions {
  const expression = new streams.ReadReq.Options.FilterOptions.Expression();
  expression.setPrefixList([...prefixes]);
  const filter = new streams.ReadReq.Options.FilterOptions();
  filter.setStreamIdentifier(expression);
  filter.setMax(searchWindow_events);
  filter.setCheckpointintervalmultiplier(1);
  return filter;
}

/** Events written in one append each have one place in the log, which the server gives twice. */
function positionOf(position: Position): ReadRequest.Options.Position {
  const place = new streams.ReadReq.Options.Position();
  place.setCommitPosition(String(position));
  place.setPreparePosition(String(position));
  return place;
}

function identifierOf(stream: string): shared.StreamIdentifier {
  const identifier = new shared.StreamIdentifier();
  identifier.setStreamName(Buffer.from(stream));
  return identifier;
}

const countOf = (limit: number): string => String(Number.isFinite(limit) ? limit : noLimit);
