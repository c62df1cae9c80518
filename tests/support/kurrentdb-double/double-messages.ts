import { Metadata, status } from '@grpc/grpc-js';
import shared from '@eventstore/db-client/generated/shared_pb.js';
import statuses from '@eventstore/db-client/generated/status_pb.js';
import type { BatchAppendReq, ReadReq } from '@eventstore/db-client/generated/streams_pb.js';
import streams from '@eventstore/db-client/generated/streams_pb.js';
import anys from 'google-protobuf/google/protobuf/any_pb.js';
import empties from 'google-protobuf/google/protobuf/empty_pb.js';
import type { DoubleExpectation, LoggedEvent, LoggedProposal, Written } from './double-log.ts';

/** An answer to one append: `ReadReq` and its kin come from the message classes that the client ships. */
type AppendAnswer = InstanceType<typeof streams.BatchAppendResp>;
type ReadAnswer = InstanceType<typeof streams.ReadResp>;

/** What the double's error answers are made of. */
export interface CallError {
  readonly code: status;
  readonly details: string;
  readonly metadata: Metadata;
}

export function eventAnswer(event: LoggedEvent): ReadAnswer {
  const identifier = new shared.StreamIdentifier();
  identifier.setStreamName(Buffer.from(event.stream));
  const id = new shared.UUID();
  id.setString(event.id);
  const record = new streams.ReadResp.ReadEvent.RecordedEvent();
  record.setId(id);
  record.setStreamIdentifier(identifier);
  record.setStreamRevision(String(event.revision));
  record.setCommitPosition(String(event.position));
  record.setPreparePosition(String(event.position));
  record.setData(event.data);
  record.setCustomMetadata(event.metadata);
  // The server's clock in units of 100 nanoseconds.
  const created = String(BigInt(event.created_ms) * 10_000n);
  record.getMetadataMap().set('type', event.type).set('content-type', 'application/json').set('created', created);
  const read = new streams.ReadResp.ReadEvent();
  read.setEvent(record);
  read.setCommitPosition(String(event.position));
  const answer = new streams.ReadResp();
  answer.setEvent(read);
  return answer;
}

export function notFoundAnswer(stream: string): ReadAnswer {
  const identifier = new shared.StreamIdentifier();
  identifier.setStreamName(Buffer.from(stream));
  const notFound = new streams.ReadResp.StreamNotFound();
  notFound.setStreamIdentifier(identifier);
  const answer = new streams.ReadResp();
  answer.setStreamNotFound(notFound);
  return answer;
}

export function confirmationAnswer(): ReadAnswer {
  const answer = new streams.ReadResp();
  answer.setConfirmation(new streams.ReadResp.SubscriptionConfirmation());
  return answer;
}

export function checkpointAnswer(position: bigint): ReadAnswer {
  const checkpoint = new streams.ReadResp.Checkpoint();
  checkpoint.setCommitPosition(String(position));
  checkpoint.setPreparePosition(String(position));
  const answer = new streams.ReadResp();
  answer.setCheckpoint(checkpoint);
  return answer;
}

export function caughtUpAnswer(): ReadAnswer {
  const answer = new streams.ReadResp();
  answer.setCaughtUp(new streams.ReadResp.CaughtUp());
  return answer;
}

/** The streams that a read or a subscription is to carry. */
export function filterOf(options: ReadReq.Options): (stream: string) => boolean {
  const expression = options.getFilter()?.getStreamIdentifier();
  if (expression === undefined) return () => true;
  const regex = expression.getRegex();
  if (regex !== '') return (stream) => new RegExp(regex).test(stream);
  const prefixes = expression.getPrefixList();
  return (stream) => prefixes.some((prefix) => stream.startsWith(prefix));
}

export const nameIn = (identifier: { getStreamName_asU8(): Uint8Array } | undefined): string =>
  Buffer.from(identifier?.getStreamName_asU8() ?? []).toString('utf8');

export function expectationOf(options: BatchAppendReq.Options): DoubleExpectation {
  if (options.hasAny()) return 'any';
  if (options.hasNoStream()) return 'no-stream';
  return options.hasStreamExists() ? 'stream-exists' : BigInt(options.getStreamPosition());
}

export const proposalsIn = (request: BatchAppendReq): readonly LoggedProposal[] =>
  request.getProposedMessagesList().map((message) => ({
    id: message.getId()?.getString() ?? '',
    type: message.getMetadataMap().get('type') ?? '',
    data: message.getData_asU8(),
    metadata: message.getCustomMetadata_asU8(),
  }));

/** The answer to a write; a repeat is answered without a position, as some versions of the server do. */
export function writtenAnswer(request: BatchAppendReq, written: Written, maxAppend_bytes: number): AppendAnswer {
  switch (written.outcome) {
    case 'success': {
      const success = new streams.BatchAppendResp.Success();
      success.setCurrentRevision(String(written.revision));
      const position = new shared.AllStreamPosition();
      position.setCommitPosition(String(written.position));
      position.setPreparePosition(String(written.position));
      if (written.isRepeat) success.setNoPosition(new empties.Empty());
      else success.setPosition(position);
      const answer = answerTo(request);
      answer.setSuccess(success);
      return answer;
    }
    case 'wrong-expected-version': {
      const wrong = new shared.WrongExpectedVersion();
      if (written.actual === undefined) wrong.setCurrentNoStream(new empties.Empty());
      else wrong.setCurrentStreamRevision(String(written.actual));
      sayExpected(wrong, request.getOptions());
      return refusalAnswer(request, { type: 'WrongExpectedVersion', body: wrong.serializeBinary() });
    }
    case 'too-large': {
      const tooLarge = new shared.MaximumAppendSizeExceeded();
      tooLarge.setMaxappendsize(maxAppend_bytes);
      return refusalAnswer(request, { type: 'MaximumAppendSizeExceeded', body: tooLarge.serializeBinary() });
    }
  }
}

/** Says back what the writer expected. */
function sayExpected(
  wrong: InstanceType<typeof shared.WrongExpectedVersion>,
  options: BatchAppendReq.Options | undefined,
): void {
  if (options?.hasNoStream() === true) wrong.setExpectedNoStream(new empties.Empty());
  else if (options?.hasStreamExists() === true) wrong.setExpectedStreamExists(new empties.Empty());
  else wrong.setExpectedStreamPosition(options?.getStreamPosition() ?? '');
}

/** A refusal of one append; the call goes on. `Empty` with a message is how the server says that it is not ready. */
export function refusalAnswer(
  request: BatchAppendReq,
  refusal: { readonly type: string; readonly body?: Uint8Array; readonly message?: string },
): AppendAnswer {
  const details = new anys.Any();
  const typeName = refusal.type === 'Empty' ? 'google.protobuf.Empty' : `event_store.client.${refusal.type}`;
  details.pack(refusal.body ?? new Uint8Array(), typeName);
  const error = new statuses.Status();
  error.setDetails(details);
  error.setMessage(refusal.message ?? refusal.type);
  const answer = answerTo(request);
  answer.setError(error);
  return answer;
}

function answerTo(request: BatchAppendReq): AppendAnswer {
  const answer = new streams.BatchAppendResp();
  answer.setCorrelationId(request.getCorrelationId());
  answer.setStreamIdentifier(request.getOptions()?.getStreamIdentifier());
  return answer;
}

/** How a node says that another one leads. */
export function notLeader(host: string, port: number): CallError {
  const metadata = new Metadata();
  metadata.set('exception', 'not-leader');
  metadata.set('leader-endpoint-host', host);
  metadata.set('leader-endpoint-port', String(port));
  return { code: status.NOT_FOUND, details: 'Leader info available', metadata };
}

export const notReady = (): CallError => ({
  code: status.UNAVAILABLE,
  details: 'Server Is Not Ready',
  metadata: new Metadata(),
});
