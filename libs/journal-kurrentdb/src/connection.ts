import type { CallOptions, ClientDuplexStream, ClientReadableStream, Channel, Metadata } from '@grpc/grpc-js';
import { EventStoreDBClient, UnavailableError } from '@eventstore/db-client';
import type { IStreamsClient } from '@eventstore/db-client/generated/streams_grpc_pb.js';
import services from '@eventstore/db-client/generated/streams_grpc_pb.js';
import type { BatchAppendReq, BatchAppendResp, ReadReq, ReadResp } from '@eventstore/db-client/generated/streams_pb.js';
import { invariant } from '@tidemark/kernel';
import { AnswerOverdue, Stopped, UnusableServerUrl } from './faults.ts';
import { within } from './within.ts';

/** A call that carries many appends and their answers. */
export type AppendCall = ClientDuplexStream<BatchAppendReq, BatchAppendResp>;

/** How long a reader waits. */
export interface ReadPatience {
  readonly first_ms: number;
  /** Between messages; a subscription may be silent for ever. */
  readonly next_ms: number;
  readonly stop?: AbortSignal;
}

/** The longest a timer of Node can wait. */
export const forEver_ms = 2 ** 31 - 1;

/**
 * What the client's own methods are made of. Its types protect some of it, for subclasses; its calls for reading and
 * appending are not used because of what they lack (DEVELOPERS.md, decision on the client). The client's version is
 * pinned exactly, and a test holds each of these to what it does.
 */
interface ClientParts {
  readonly GRPCStreamCreator: <Call>(
    service: unknown,
    name: string,
    create: (client: StreamsClient) => Call,
  ) => () => Promise<Call>;
  readonly callArguments: (base: { readonly requiresLeader: boolean }, options: CallOptions) => [Metadata, CallOptions];
  /** Told of each call that failed. Nobody waits for it, though it fails when no node can be found, too. */
  handleError: (client: unknown, error: unknown) => Promise<void>;
}

/** A client of the server's streams, over a channel that all calls share. */
type StreamsClient = IStreamsClient & { readonly getChannel: () => Channel };

/**
 * Calls over the connection of the official client, which finds the nodes of a cluster, follows its leader, and begins
 * anew once a call shows that the node is gone. Nothing is tried twice here.
 */
export class Connection {
  readonly #client: EventStoreDBClient;
  readonly #parts: ClientParts;
  /** The channel of the last call; those before it were closed when they failed. */
  #channel: Channel | undefined;

  /** Connects with the first call. Throws `UnusableServerUrl`. */
  constructor(url: string) {
    this.#client = clientOf(url);
    this.#parts = this.#client as unknown as ClientParts;
    const { GRPCStreamCreator, callArguments, handleError } = this.#parts;
    const isKnown = [GRPCStreamCreator, callArguments, handleError].every((part) => typeof part === 'function');
    invariant(isKnown, 'the client has the parts that its pinned version has');
    // A rejection that nobody takes would end the process.
    this.#parts.handleError = (client, error) => handleError(client, error).catch(() => undefined);
  }

  /** The messages of one read or subscription, until it ends, fails, falls silent or is to stop. Ends with `Stopped` then. */
  async *read(request: ReadReq, { first_ms, next_ms, stop }: ReadPatience): AsyncGenerator<ReadResp, undefined> {
    const opening = this.#open('read', (client, callArguments) => client.read(request, ...callArguments));
    const call = await within(opening, first_ms, stop).catch((error: unknown) => {
      opening.then((late) => late.cancel()).catch(() => undefined);
      throw error;
    });
    try {
      const messages = call[Symbol.asyncIterator]() as AsyncIterator<ReadResp>;
      for (let limit_ms = first_ms; ; limit_ms = next_ms) {
        const next = await within(messages.next(), limit_ms, stop);
        if (next.done === true) return undefined;
        yield next.value;
      }
    } catch (error) {
      if (error instanceof AnswerOverdue) this.abandon(call, error);
      throw stop?.aborted === true ? new Stopped() : error;
    } finally {
      call.cancel();
    }
  }

  /** Opens a call for appends. It takes as many as are written to it and answers in any order. */
  openAppends(): Promise<AppendCall> {
    return this.#open('append', (client, callArguments) => client.batchAppend(...callArguments));
  }

  /** Gives up a call whose node does not answer: the client then looks for a node anew instead of asking this one again. */
  abandon(call: ClientReadableStream<ReadResp> | AppendCall, reason: AnswerOverdue): void {
    call.destroy(new UnavailableError(undefined, reason.message));
    call.cancel();
  }

  /** Cancels every call and closes the sockets. */
  async close(): Promise<void> {
    await this.#client.dispose();
    this.#channel?.close();
  }

  async #open<Call extends ClientReadableStream<ReadResp> | AppendCall>(
    name: string,
    create: (client: IStreamsClient, callArguments: [Metadata, CallOptions]) => Call,
  ): Promise<Call> {
    const callArguments = this.#parts.callArguments({ requiresLeader: true }, { deadline: Number.POSITIVE_INFINITY });
    const open = this.#parts.GRPCStreamCreator(services.StreamsClient, name, (client) => {
      this.#channel = client.getChannel();
      const call = create(client, callArguments);
      // A call that is cancelled, or fails between two looks at it, reports an error to nobody; without a listener that ends the process.
      call.on('error', () => undefined);
      return call;
    });
    return await open();
  }
}

/** The server's names for its own protocol; the client knows the oldest. */
const scheme = /^(kurrentdb|kurrent|kdb|esdb)(\+discover)?:\/\//;

/** What stands in the address unless it says otherwise; in milliseconds, but the gossip's timeout in seconds. */
const defaults = {
  connectionName: 'tidemark',
  nodePreference: 'leader',
  discoveryInterval: '100',
  maxDiscoverAttempts: '10',
  gossipTimeout: '1',
  keepAliveInterval: '10000',
  keepAliveTimeout: '5000',
};

function clientOf(url: string): EventStoreDBClient {
  const match = scheme.exec(url);
  if (match === null) throw new UnusableServerUrl('expected kurrentdb:// or kurrentdb+discover://');
  const [address = '', options = ''] = url.slice(match[0].length).split('?', 2);
  const given = new Set(options.split('&').map((option) => option.split('=', 1)[0]?.toLowerCase()));
  const added = Object.entries(defaults).filter(([key]) => !given.has(key.toLowerCase()));
  const query = [...(options === '' ? [] : [options]), ...added.map((pair) => pair.join('='))].join('&');
  try {
    return EventStoreDBClient.connectionString(`esdb${match[2] ?? ''}://${address.replace(/\/$/, '')}?${query}`);
  } catch (cause) {
    throw new UnusableServerUrl(
      cause instanceof Error && cause.message.includes('certificate') ? cause.message : 'it is malformed',
    );
  }
}
