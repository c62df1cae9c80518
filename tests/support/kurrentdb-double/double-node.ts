import type { ServerDuplexStream, ServerUnaryCall, UntypedServiceImplementation, sendUnaryData } from '@grpc/grpc-js';
import { Metadata, Server, ServerCredentials, status } from '@grpc/grpc-js';
import gossips from '@eventstore/db-client/generated/gossip_grpc_pb.js';
import type { ClusterInfo } from '@eventstore/db-client/generated/gossip_pb.js';
import features from '@eventstore/db-client/generated/serverfeatures_grpc_pb.js';
import supported from '@eventstore/db-client/generated/serverfeatures_pb.js';
import services from '@eventstore/db-client/generated/streams_grpc_pb.js';
import type { BatchAppendReq, BatchAppendResp } from '@eventstore/db-client/generated/streams_pb.js';
import { maxAppend_bytes } from './double-log.ts';
import type { DoubleCluster } from './double-cluster.ts';
import {
  expectationOf,
  nameIn,
  notLeader,
  notReady,
  proposalsIn,
  refusalAnswer,
  writtenAnswer,
} from './double-messages.ts';
import type { ReadCall } from './double-reads.ts';
import { answerRead, answerSubscription } from './double-reads.ts';
import { WireDoor } from './wire-door.ts';

type AppendCall = ServerDuplexStream<BatchAppendReq, BatchAppendResp>;

/** Who asks a node that does not lead is sent to the one that does, if it asks for the leader. */
const wantsLeader = (metadata: Metadata): boolean => metadata.get('requires-leader')[0] === 'true';

/** One node of the double: the server's protocol on a door of its own. */
export class DoubleNode {
  readonly door: WireDoor;
  readonly #cluster: DoubleCluster;
  readonly #server: Server;
  readonly #subscriptions = new Set<{ readonly call: ReadCall; isForgotten: boolean }>();
  isAlive = true;

  static async start(cluster: DoubleCluster): Promise<DoubleNode> {
    const server = new Server();
    const port = await new Promise<number>((resolve, reject) => {
      server.bindAsync('127.0.0.1:0', ServerCredentials.createInsecure(), (error, bound) =>
        error === null ? resolve(bound) : reject(error),
      );
    });
    return new DoubleNode(cluster, server, await WireDoor.before({ host: '127.0.0.1', port }));
  }

  private constructor(cluster: DoubleCluster, server: Server, door: WireDoor) {
    this.#cluster = cluster;
    this.#server = server;
    this.door = door;
    const streams: UntypedServiceImplementation = {
      read: (call: ReadCall) => void this.#read(call),
      batchAppend: (call: AppendCall) => this.#takeAppends(call),
      append: (_call: unknown, answer: sendUnaryData<never>) => answer({ code: status.UNIMPLEMENTED }),
      delete: (_call: unknown, answer: sendUnaryData<never>) => answer({ code: status.UNIMPLEMENTED }),
      tombstone: (_call: unknown, answer: sendUnaryData<never>) => answer({ code: status.UNIMPLEMENTED }),
    };
    server.addService(services.StreamsService, streams);
    server.addService(gossips.GossipService, {
      read: (_call: ServerUnaryCall<unknown, ClusterInfo>, answer: sendUnaryData<ClusterInfo>) => {
        this.#cluster.counts.gossip += 1;
        answer(null, this.#cluster.info());
      },
    });
    server.addService(features.ServerFeaturesService, { getSupportedMethods: tellMethods });
  }

  /** The machine is gone: nobody can connect, and what was connected is cut. */
  async die(): Promise<void> {
    this.isAlive = false;
    await this.door.shut();
  }

  /** The same machine, at the same address, is back. */
  async rise(): Promise<void> {
    await this.door.reopen();
    this.isAlive = true;
  }

  /** Ends every subscription: with an error, quietly, or by sending nothing any more. */
  dropSubscriptions(how: 'with-error' | 'quietly' | 'in-silence'): void {
    for (const subscription of this.#subscriptions)
      if (how === 'in-silence') subscription.isForgotten = true;
      else if (how === 'quietly') subscription.call.end();
      else
        fail(subscription.call, { code: status.CANCELLED, details: 'the server cancelled', metadata: new Metadata() });
    this.#cluster.log.wakeAll();
  }

  stop(): Promise<void> {
    this.#server.forceShutdown();
    return this.isAlive ? this.door.shut() : Promise.resolve();
  }

  async #read(call: ReadCall): Promise<void> {
    const { counts, faults, log } = this.#cluster;
    const refusal = this.#refusalOf(call.metadata);
    if (refusal !== undefined) {
      fail(call, refusal);
      return;
    }
    if (call.request.getOptions()?.hasSubscription() !== true) {
      counts.reads += 1;
      if (faults.take('hold-read')) return;
      await answerRead(call, log);
      return;
    }
    counts.subscriptions += 1;
    const subscription = { call, isForgotten: false };
    this.#subscriptions.add(subscription);
    const isForgotten = (): boolean => subscription.isForgotten;
    const seen = (): number => this.#cluster.subscriptionsSee_events ?? log.events.length;
    await answerSubscription(call, log, { isForgotten, seen, delivered: () => (counts.delivered += 1) });
    this.#subscriptions.delete(subscription);
  }

  #takeAppends(call: AppendCall): void {
    call.on('data', (request: BatchAppendReq) => this.#takeAppend(call, request));
    call.on('end', () => call.end());
    call.on('error', () => undefined);
  }

  /** One by one and in order, as the server publishes them. */
  #takeAppend(call: AppendCall, request: BatchAppendReq): void {
    const { counts, faults, log, clock } = this.#cluster;
    const options = request.getOptions();
    if (options === undefined || call.cancelled) return;
    counts.appends += 1;
    const refusal = this.#refusalOf(call.metadata);
    if (refusal !== undefined) {
      if (refusal.code === status.UNAVAILABLE)
        call.write(refusalAnswer(request, { type: 'Empty', message: refusal.details }));
      else fail(call, refusal);
      return;
    }
    const deadline = options.getDeadline()?.toDate().getTime();
    if (deadline !== undefined && deadline <= clock()) {
      call.write(refusalAnswer(request, { type: 'Timeout' }));
      return;
    }
    const refused = faults.refusal();
    if (refused !== undefined) {
      call.write(refusalAnswer(request, { type: refused }));
      return;
    }
    const written = log.write(nameIn(options.getStreamIdentifier()), expectationOf(options), proposalsIn(request));
    if (written.outcome === 'success' && written.isRepeat) counts.repeats += 1;
    if (faults.take('cut-after-commit')) this.door.cut();
    else if (!faults.take('hold-answer')) call.write(writtenAnswer(request, written, maxAppend_bytes));
  }

  #refusalOf(metadata: Metadata): ReturnType<typeof notReady> | undefined {
    const { leader, isElecting } = this.#cluster;
    if (isElecting) return notReady();
    return wantsLeader(metadata) && leader !== this ? notLeader('127.0.0.1', leader.door.port) : undefined;
  }
}

function fail(call: ReadCall | AppendCall, error: ReturnType<typeof notReady>): void {
  call.emit('error', error);
}

/** What the official client asks before its own first append; names are in lower case, as the server's. */
function tellMethods(_call: unknown, answer: sendUnaryData<InstanceType<typeof supported.SupportedMethods>>): void {
  const methods = new supported.SupportedMethods();
  methods.setEventStoreServerVersion('23.10.0');
  for (const name of ['read', 'batchappend']) {
    const method = new supported.SupportedMethod();
    method.setServiceName('event_store.client.streams.streams');
    method.setMethodName(name);
    methods.addMethods(method);
  }
  answer(null, methods);
}
