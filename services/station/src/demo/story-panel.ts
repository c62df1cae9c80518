import type { Instant, Random } from '@tidemark/kernel';
import { formatInstant, instant } from '@tidemark/kernel';
import type { BrokerAddress } from '@tidemark/mqtt';
import { MqttSink } from '@tidemark/mqtt';
import { elapsed } from '@tidemark/runtime';
import type { Time } from '@tidemark/runtime';
import { encodeLink, encodeSignal, topicOf } from '@tidemark/signals';
import type { Channel, Encoded, Signal } from '@tidemark/signals';
import type { DemoLine, DemoStory } from './demo-story.ts';

/** Where a panel of the demo sends to, and by which clock it lives. */
export interface StoryPanelOptions {
  readonly broker: BrokerAddress;
  readonly prefix: string;
  readonly time: Time;
  readonly random: Random;
}

/** A panel that has nothing to say tests its line so often. A choice of this project, well within the supervision hour. */
const lineTest_ms = 600_000;

/** A panel of the demo site: it plays the story of its riser through the station's front door, like any other. */
export class StoryPanel {
  readonly #story: DemoStory;
  readonly #options: StoryPanelOptions;
  readonly #stop = new AbortController();
  readonly #sink: MqttSink;
  readonly #session: string;
  #sent = 0;

  constructor(story: DemoStory, options: StoryPanelOptions) {
    this.#story = story;
    this.#options = options;
    const { account, riser } = story.key;
    this.#session = formatInstant(options.time.now());
    this.#sink = new MqttSink({
      broker: options.broker,
      clientId: `demo-panel-${account}-${riser}`,
      random: options.random,
      will: { ...this.#message('link', encodeLink({ link: 'down' })), retain: true },
    });
  }

  /** Plays until `stop`. */
  async play(): Promise<void> {
    await this.#send('link', encodeLink({ link: 'up', session: this.#session, time: this.#options.time.now() }));
    do await this.#tell(instant(this.#options.time.now()));
    while (this.#story.repeats && !this.#stop.signal.aborted);
    while (!this.#stop.signal.aborted) await this.#testLine();
  }

  async stop(): Promise<void> {
    this.#stop.abort();
    await this.#sink.close();
  }

  /** The story from its beginning, as if it began at this moment. */
  async #tell(begin: Instant): Promise<void> {
    for (const line of this.#story.lines) {
      await this.#waitUntil(instant(begin + line.after_ms));
      if (this.#stop.signal.aborted) return;
      await this.#say(line, begin - this.#story.begin);
    }
    await this.#waitUntil(instant(begin + this.#story.length_ms));
  }

  async #say(line: DemoLine, shift_ms: number): Promise<void> {
    if (line.type === 'link') {
      const { link, session } = line;
      const named = session === undefined ? {} : { session: `${this.#session} ${session}` };
      await this.#send('link', encodeLink({ link, ...named, time: this.#options.time.now() }));
      return;
    }
    const { signal } = line;
    const observedAt = signal.observedAt === undefined ? undefined : instant(signal.observedAt + shift_ms);
    await this.#send('signal', encodeSignal({ ...signal, id: this.#nextId(), observedAt }));
  }

  async #testLine(): Promise<void> {
    const { account } = this.#story.key;
    const test: Signal = {
      key: this.#story.key,
      source: `/${account}/panel-1`,
      id: this.#nextId(),
      observedAt: this.#options.time.now(),
      sequence: undefined,
      point: undefined,
      text: undefined,
      content: { kind: 'periodic-test', name: 'periodic-test' },
      form: 'cloudevent',
    };
    await this.#send('signal', encodeSignal(test));
    await elapsed(this.#options.time, lineTest_ms, this.#stop.signal);
  }

  async #waitUntil(at: Instant): Promise<void> {
    const { time } = this.#options;
    await elapsed(time, Math.max(0, at - time.now()), this.#stop.signal);
  }

  #nextId(): string {
    this.#sent += 1;
    return `demo ${this.#session} ${String(this.#sent)}`;
  }

  /** What the broker does not take is lost, as with a panel that keeps nothing; the station then says so. */
  async #send(channel: Channel, encoded: Encoded): Promise<void> {
    await this.#sink.publish({ ...this.#message(channel, encoded), retain: channel === 'link' });
  }

  #message(channel: Channel, { payload, contentType }: Encoded) {
    return { topic: topicOf(this.#options.prefix, this.#story.key, channel), payload, contentType };
  }
}
