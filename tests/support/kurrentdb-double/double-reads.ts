import type { ServerWritableStream } from '@grpc/grpc-js';
import type { ReadReq, ReadResp } from '@eventstore/db-client/generated/streams_pb.js';
import streams from '@eventstore/db-client/generated/streams_pb.js';
import type { DoubleLog, LoggedEvent } from './double-log.ts';
import {
  caughtUpAnswer,
  checkpointAnswer,
  confirmationAnswer,
  eventAnswer,
  filterOf,
  nameIn,
  notFoundAnswer,
} from './double-messages.ts';

export type ReadCall = ServerWritableStream<ReadReq, ReadResp>;

/** A live subscription that lags by more than this, since its reader is slow, goes back to reading the log. */
const liveLimit_events = 500;

/** How many events a subscription considers between two checkpoints, where its request does not say. */
const window_events = 32;

/** Answers a read of a stream or of the log, and ends the call. */
export async function answerRead(call: ReadCall, log: DoubleLog): Promise<void> {
  const options = call.request.getOptions();
  if (options === undefined) return;
  const stream = nameIn(options.getStream()?.getStreamIdentifier());
  const isBackward = options.getReadDirection() === streams.ReadReq.Options.ReadDirection.BACKWARDS;
  if (options.hasStream() && log.lastRevision(stream) === undefined) call.write(notFoundAnswer(stream));
  const found = options.hasStream() ? streamPart(log, options, isBackward) : logPart(log, options, isBackward);
  let left = BigInt(options.getCount());
  for (const event of found) {
    if (left-- <= 0n || call.cancelled) break;
    await written(call, eventAnswer(event));
  }
  call.end();
}

function streamPart(log: DoubleLog, options: ReadReq.Options, isBackward: boolean): readonly LoggedEvent[] {
  const place = options.getStream();
  const events = log.visible(nameIn(place?.getStreamIdentifier()));
  if (!isBackward) {
    const from = place?.hasRevision() === true ? BigInt(place.getRevision()) : 0n;
    return events.filter(({ revision }) => revision >= from);
  }
  const from = place?.hasRevision() === true ? BigInt(place.getRevision()) : undefined;
  return events.filter(({ revision }) => from === undefined || revision <= from).toReversed();
}

/** Forward a position is included, backward it is not. */
function* logPart(log: DoubleLog, options: ReadReq.Options, isBackward: boolean): Generator<LoggedEvent> {
  const position = options.getAll()?.getPosition()?.getCommitPosition();
  const isWanted = filterOf(options);
  const end = log.events.length;
  const start = position === undefined ? (isBackward ? end : 0) : log.indexAt(BigInt(position));
  for (let step = 0; ; step += 1) {
    const event = log.events[isBackward ? start - 1 - step : start + step];
    if (event === undefined || (!isBackward && start + step >= end)) return;
    if (isWanted(event.stream)) yield event;
  }
}

/** What a node watches of a subscription. */
export interface SubscriptionWatch {
  /** Makes it fall silent. */
  readonly isForgotten: () => boolean;
  /** How many events of the log it sees. */
  readonly seen: () => number;
  /** Told of each event sent. */
  readonly delivered: () => void;
}

/**
 * Answers a subscription to the log until it is cancelled: what lies after the position, then `caught up`, then what is
 * recorded.
 */
export async function answerSubscription(call: ReadCall, log: DoubleLog, watch: SubscriptionWatch): Promise<void> {
  const options = call.request.getOptions();
  if (options === undefined) return;
  const isWanted = filterOf(options);
  const interval = (options.getFilter()?.getMax() ?? window_events) || window_events;
  let [index, isLive, considered] = [firstIndex(log, options), false, 0];
  await written(call, confirmationAnswer());
  while (!call.cancelled && !watch.isForgotten()) {
    const event = index < watch.seen() ? log.events[index] : undefined;
    if (event === undefined) {
      if (!isLive) await goLive(call, log.events[index - 1]);
      isLive = true;
      await changedOrCancelled(call, log, () => index < watch.seen());
      continue;
    }
    index += 1;
    considered += 1;
    if (isWanted(event.stream)) {
      watch.delivered();
      await written(call, eventAnswer(event));
    }
    if (considered % interval === 0) await written(call, checkpointAnswer(event.position));
    if (watch.seen() - index > liveLimit_events) isLive = false;
  }
}

/** Strictly after the position; an end of the log means only what is recorded from now on. */
function firstIndex(log: DoubleLog, options: ReadReq.Options): number {
  const all = options.getAll();
  if (all?.hasEnd() === true) return log.events.length;
  const position = all?.getPosition()?.getCommitPosition();
  return position === undefined ? 0 : log.indexAt(BigInt(position) + 1n);
}

async function goLive(call: ReadCall, last: LoggedEvent | undefined): Promise<void> {
  if (last !== undefined) await written(call, checkpointAnswer(last.position));
  await written(call, caughtUpAnswer());
}

async function changedOrCancelled(call: ReadCall, log: DoubleLog, hasMore: () => boolean): Promise<void> {
  const { promise, wake } = log.changed();
  call.once('cancelled', wake);
  if (hasMore() || call.cancelled) wake();
  await promise;
  call.off('cancelled', wake);
}

/** Waits for a slow reader. */
async function written(call: ReadCall, answer: ReadResp): Promise<void> {
  if (call.cancelled || call.write(answer)) return;
  await new Promise<void>((resolve) => {
    const go = (): void => {
      call.off('drain', go);
      call.off('cancelled', go);
      resolve();
    };
    call.once('drain', go);
    call.once('cancelled', go);
  });
}
