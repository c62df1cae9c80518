import { invariant } from '@tidemark/kernel';
import type { StreamName, StreamPrefix } from '@tidemark/journal';
import { parseStreamName } from '@tidemark/journal';

/** What a namespace may be: the `-` between it and a checkpoint's name must tell the two kinds of stream apart. */
const namespace = /^[a-z0-9]{1,40}$/;

/**
 * How the journal's streams are called on the server, which other applications may share: `{namespace}/{stream}`, and
 * `{namespace}-checkpoint/{name}` for checkpoints, which no prefix of the journal matches.
 */
export class ServerNames {
  readonly #events: string;
  readonly #checkpoints: string;

  constructor(name: string) {
    invariant(namespace.test(name), 'a namespace is 1 to 40 lower-case letters and digits');
    this.#events = `${name}/`;
    this.#checkpoints = `${name}-checkpoint/`;
  }

  readonly stream = (stream: StreamName): string => this.#events + stream;

  readonly checkpoint = (name: string): string => this.#checkpoints + name;

  /** The journal's name of a stream on the server; nothing when it is not one of the journal's. */
  readonly parse = (text: string): StreamName | undefined => {
    if (!text.startsWith(this.#events)) return undefined;
    const stream = parseStreamName(text.slice(this.#events.length));
    return stream.ok ? stream.value : undefined;
  };

  /** The prefixes to filter by on the server. An empty list wants no stream: a prefix that no stream can have. */
  readonly prefixes = (prefixes: readonly StreamPrefix[] | undefined): readonly string[] => {
    if (prefixes === undefined) return [this.#events];
    return prefixes.length === 0 ? [`${this.#events}#`] : prefixes.map((prefix) => this.#events + prefix);
  };
}
