import gossip from '@eventstore/db-client/generated/gossip_pb.js';
import { invariant } from '@tidemark/kernel';
import { DoubleFaults } from './double-faults.ts';
import { DoubleLog } from './double-log.ts';
import { DoubleNode } from './double-node.ts';

/** What a double is to be. */
export interface DoubleOptions {
  readonly nodes?: number;
  /** How far its clock is ahead of this machine's. */
  readonly ahead_ms?: number;
}

/**
 * A protocol double of a KurrentDB cluster: nodes that speak the server's protocol with the message classes that the
 * client ships, over one log in memory. It is no KurrentDB: it has no disk, no replication, no elections and no access
 * control, and what it holds of the server's rules is what the server's documentation and code say. What passes here is
 * tested against a double, not against a server.
 */
export class DoubleCluster {
  readonly log: DoubleLog;
  readonly faults = new DoubleFaults();
  /** What the nodes were asked, all together, and how many events they sent to subscriptions. */
  readonly counts = { appends: 0, repeats: 0, reads: 0, subscriptions: 0, gossip: 0, delivered: 0 };
  readonly clock: () => number;
  /** While the nodes elect a leader they refuse reads and appends. */
  isElecting = false;
  /** Subscriptions see no more than this many events of the log, as on a node that lags; absent: all. */
  subscriptionsSee_events: number | undefined;
  readonly nodes: DoubleNode[] = [];
  #leader = 0;

  static async start({ nodes = 1, ahead_ms = 0 }: DoubleOptions = {}): Promise<DoubleCluster> {
    const cluster = new DoubleCluster(() => Date.now() + ahead_ms);
    for (let node = 0; node < nodes; node += 1) cluster.nodes.push(await DoubleNode.start(cluster));
    return cluster;
  }

  private constructor(clock: () => number) {
    this.clock = clock;
    this.log = new DoubleLog(clock);
  }

  get leader(): DoubleNode {
    return this.#at(this.#leader);
  }

  /** The nodes that do not lead. */
  get followers(): readonly DoubleNode[] {
    return this.nodes.filter((node) => node !== this.leader);
  }

  /** Names every node, as an operator would. */
  get url(): string {
    return `kurrentdb://${this.nodes.map(({ door }) => `127.0.0.1:${door.port}`).join(',')}?tls=false&discoveryInterval=20`;
  }

  /** Another node that is alive leads from now on. */
  moveLeader(): DoubleNode {
    const next = this.nodes.findIndex((node, index) => index !== this.#leader && node.isAlive);
    invariant(next >= 0, 'a leader moves to another node that is alive');
    this.#leader = next;
    return this.leader;
  }

  /** What the nodes tell of each other. */
  info(): InstanceType<typeof gossip.ClusterInfo> {
    const info = new gossip.ClusterInfo();
    for (const node of this.nodes) {
      const endpoint = new gossip.EndPoint();
      endpoint.setAddress('127.0.0.1');
      endpoint.setPort(node.door.port);
      const { LEADER, FOLLOWER } = gossip.MemberInfo.VNodeState;
      const member = new gossip.MemberInfo();
      member.setState(node === this.leader ? LEADER : FOLLOWER);
      member.setIsAlive(node.isAlive);
      member.setHttpEndPoint(endpoint);
      info.addMembers(member);
    }
    return info;
  }

  async stop(): Promise<void> {
    this.log.wakeAll();
    await Promise.all(this.nodes.map((node) => node.stop()));
  }

  #at(index: number): DoubleNode {
    const node = this.nodes[index];
    invariant(node !== undefined, 'the double has a leader');
    return node;
  }
}
