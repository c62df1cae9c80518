import type { Journal, Position } from '@tidemark/journal';
import type { Instant, Random } from '@tidemark/kernel';
import { viewOf } from '@tidemark/reasoning';
import type { Twin } from '@tidemark/reasoning';
import { deferred, ProjectionHost, SnapshotKeeper } from '@tidemark/runtime';
import type { SnapshotStore, Subscription, SubscriptionHealth, Time } from '@tidemark/runtime';
import { topicOf } from '@tidemark/signals';
import { BehaviorSubject, combineLatest, map } from 'rxjs';
import type { Observable } from 'rxjs';
import { findingPublisher } from './finding-publisher.ts';
import { installProfiles } from './install-profiles.ts';
import { OutputJournal } from './output-journal.ts';
import type { PartState } from './part-watch.ts';
import { PartWatch } from './part-watch.ts';
import type { ProfileDirectory } from './profile-directory.ts';
import type { PublishedMessage, Publisher } from './publisher.ts';
import { keyOf, riserFold, streamOf } from './riser-fold.ts';
import type { RiserName, TwinChange, TwinHost } from './riser-fold.ts';
import { LiveRiserViews } from './riser-views.ts';
import { StatePublisher } from './state-publisher.ts';
import { RiserDeadlines } from './time-reached.ts';
import { twinCodec } from './twin-codec.ts';
import { stateOnTheWire } from './wire.ts';

/** What the twin stands on. */
export interface LiveTwinOptions {
  readonly journal: Journal;
  readonly directory: ProfileDirectory;
  /** The beginning of the topics. */
  readonly prefix: string;
  readonly time: Time;
  readonly random: Random;
  /** Absent: every start folds the whole journal. */
  readonly snapshots?: { readonly store: SnapshotStore; readonly version: string };
}

/** How the twin stands. `ok` is false whenever a riser may be shown otherwise than it is known to be. */
export interface TwinHealth {
  readonly ok: boolean;
  /** Whether the journal is followed. */
  readonly following: SubscriptionHealth;
  /** Whether what was found can be recorded. */
  readonly recording: PartState;
  /** Whether states and findings reach a broker. */
  readonly publishing: PartState;
  /** How many events this build could not read and left out. */
  readonly leftOut: number;
}

/** The pause between snapshots. A choice of this project: a start after a crash folds at most so much anew. */
const snapshotEvery_ms = 300_000;

/** Every riser's twin, live: folded from the journal, its findings recorded and published, time passing for it. */
export class LiveTwin {
  readonly #options: LiveTwinOptions;
  readonly #host: TwinHost;
  readonly #outputs: OutputJournal;
  readonly #deadlines: RiserDeadlines;
  readonly #snapshots: SnapshotKeeper<Twin> | undefined;
  readonly #recording: PartWatch;
  readonly #publishing: PartWatch;
  readonly #following: BehaviorSubject<SubscriptionHealth>;
  readonly #bug = deferred<undefined>();
  readonly #positions = new Map<RiserName, Position>();
  #publishers: { readonly states: StatePublisher; readonly findings: Subscription } | undefined;
  #caughtUp = false;

  /** The risers for readers. */
  readonly views: LiveRiserViews;

  constructor(options: LiveTwinOptions) {
    const { journal, time, random, directory, snapshots } = options;
    const { now } = time;
    this.#options = options;
    this.#recording = new PartWatch(now);
    this.#publishing = new PartWatch(now);
    this.#host = new ProjectionHost({ journal, fold: riserFold, time, random: random.fork('fold') });
    this.#following = new BehaviorSubject(this.#host.health);
    this.#host.onHealth((health) => this.#following.next(health));
    const watch = this.#recording;
    this.#outputs = new OutputJournal({ journal, timer: time, random: random.fork('outputs'), watch });
    this.#deadlines = new RiserDeadlines({ journal, host: this.#host, time, random: random.fork('deadlines'), watch });
    this.views = new LiveRiserViews({ host: this.#host, directory, now });
    this.#host.onChange((change) => this.#follow(change));
    this.#snapshots =
      snapshots &&
      new SnapshotKeeper({
        ...snapshots,
        codec: twinCodec,
        capture: () => this.#host.capture(),
        settled: () => this.#outputs.settled(),
        timer: time,
        every_ms: snapshotEvery_ms,
      });
  }

  get health(): Observable<TwinHealth> {
    return combineLatest([this.#following, this.#recording.state, this.#publishing.state]).pipe(
      map(([following, recording, publishing]) => ({
        ok: following.state === 'live' && recording.state === 'up' && publishing.state === 'up',
        following,
        recording,
        publishing,
        leftOut: this.#host.leftOut.count,
      })),
    );
  }

  /** Rejected with the bug that ended a part of the twin. Whoever starts it must watch this; the process should end. */
  get failed(): Promise<undefined> {
    return this.#bug.promise;
  }

  /**
   * Folds the history, lets the time pass that passed while no station ran, and records profiles that changed. No
   * signal may be recorded before it resolves: then the deadlines of the downtime stand before them in the journal.
   */
  async start(): Promise<void> {
    const { journal, directory, time } = this.#options;
    await this.#outputs.start();
    const snapshot = await this.#snapshots?.load(await journal.head());
    await this.#host.start(snapshot?.ok === true ? snapshot.value : undefined);
    this.#caughtUp = true;
    for (const riser of this.#host.keys()) await this.#takeUp(riser);
    for (const part of [this.#host.ended, this.#deadlines.ended, this.#outputs.ended]) part.catch(this.#bug.reject);
    await this.#deadlines.start();
    await installProfiles({ journal, host: this.#host, directory, now: time.now() });
    await this.#outputs.settled();
    this.#snapshots?.start();
  }

  /** Publishes every state now, findings from where the last process stopped, and both from now on. */
  publishTo(publisher: Publisher): void {
    const { journal, prefix, time, random, directory } = this.#options;
    const watch = this.#publishing;
    const stateOf = (riser: RiserName): PublishedMessage | undefined => this.#stateMessage(riser);
    const states = new StatePublisher({ publisher, stateOf, time, random: random.fork('states'), watch });
    const findings = findingPublisher({ journal, publisher, prefix, time, random: random.fork('findings'), watch });
    this.#publishers = { states, findings };
    for (const riser of directory.profiles.keys()) states.changed(riser);
    // Not waited for: a broker that is away holds up nothing but what is published.
    findings.start().catch(this.#bug.reject);
    findings.ended.catch(this.#bug.reject);
  }

  /** Sends the states that wait to be sent, and ends; findings not yet sent are sent by the next process. */
  async stopPublishing(): Promise<void> {
    await this.#publishers?.findings.stop();
    await this.#publishers?.states.stop();
  }

  /** Leaves nothing half done: what is owed is recorded and published by the next process. */
  async stop(): Promise<void> {
    await this.#snapshots?.stop();
    await this.stopPublishing();
    await this.#deadlines.stop();
    await this.#host.stop();
    await this.#outputs.stop();
    await this.#snapshots?.save();
    this.views.close();
    this.#following.complete();
  }

  #follow(change: TwinChange): Promise<void> | undefined {
    const { key: riser, after, recorded } = change;
    const isRoom = this.#outputs.offer(change);
    this.#positions.set(riser, recorded.position);
    if (this.#caughtUp && this.#options.directory.has(riser)) {
      this.#deadlines.look(riser, after);
      this.#publishers?.states.changed(riser);
      this.views.tell(change);
    }
    return isRoom;
  }

  async #takeUp(riser: RiserName): Promise<void> {
    const twin = this.#host.get(riser);
    if (twin === undefined || !this.#options.directory.has(riser)) return;
    this.#deadlines.look(riser, twin);
    if (this.#positions.has(riser)) return;
    // Restored from a snapshot, and nothing was recorded since.
    const newest = this.#options.journal.readStream(streamOf('riser', riser), { direction: 'backward', limit: 1 });
    for await (const { position } of newest) this.#positions.set(riser, position);
  }

  /** As of the riser's last event, so that the same journal gives the same message. */
  #stateMessage(riser: RiserName): PublishedMessage | undefined {
    const twin = this.#host.get(riser);
    const position = this.#positions.get(riser);
    if (twin === undefined || position === undefined) return undefined;
    return {
      topic: topicOf(this.#options.prefix, keyOf(riser), 'state'),
      payload: JSON.stringify(stateOnTheWire(viewOf(twin, asOf(twin)), position)),
      retain: true,
      contentType: 'application/json',
    };
  }
}

const asOf = (twin: Twin): Instant => twin.riser.now;
