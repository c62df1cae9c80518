import type { ServerResponse } from 'node:http';
import type { Observable, Subscription } from 'rxjs';
import type { LiveMessage } from './live-hub.ts';

/** The most pages that may listen at once. A choice of this project: a control room and its deputies, many times over. */
export const readersLimit = 200;

/** The most pages one person may have listen at once. A choice of this project: several screens, each with many tabs. */
export const readersPerPersonLimit = 40;

/** So much may wait for a reader before it is cut off. A choice of this project: several snapshots of a large fleet. */
export const readerBuffer_bytes = 1_000_000;

/** How soon a page asks again after a cut, in its own words to `retry:`. */
const retry_ms = 500;

/** The pages that listen. A slow one is cut off, counted and told of; it finds out by the cut and asks anew. */
export class LiveReaders {
  readonly #open = new Map<ServerResponse, { readonly who: string; readonly subscription: Subscription }>();
  readonly #onDrop: (waiting_bytes: number) => void;
  #droppedSlow = 0;

  constructor(onDrop: (waiting_bytes: number) => void) {
    this.#onDrop = onDrop;
  }

  get count(): number {
    return this.#open.size;
  }

  get droppedSlow(): number {
    return this.#droppedSlow;
  }

  /** Whether one more is too many, in all or for this person: nobody keeps the others out with pages of their own. */
  isFullFor(name: string): boolean {
    const own = [...this.#open.values()].filter(({ who }) => who === name).length;
    return this.#open.size >= readersLimit || own >= readersPerPersonLimit;
  }

  /** Writes the events to the response until either side ends. */
  add(response: ServerResponse, messages: Observable<LiveMessage>, who: string): void {
    response.writeHead(200, {
      'content-type': 'text/event-stream; charset=utf-8',
      'cache-control': 'no-store, no-transform',
      connection: 'keep-alive',
    });
    response.write(`retry: ${retry_ms}\n\n`);
    response.once('close', () => this.#remove(response));
    const subscription = messages.subscribe({
      next: (message) => {
        this.#write(response, message);
      },
      error: () => response.destroy(),
      complete: () => response.end(),
    });
    this.#open.set(response, { who, subscription });
    if (response.destroyed) this.#remove(response);
  }

  close(): void {
    for (const response of [...this.#open.keys()]) response.destroy();
  }

  #write(response: ServerResponse, message: LiveMessage): void {
    if (response.writableLength > readerBuffer_bytes) {
      this.#droppedSlow += 1;
      this.#onDrop(response.writableLength);
      // Removed at once: the close of the socket is told later, and no message may be written or counted meanwhile.
      this.#remove(response);
      response.destroy();
      return;
    }
    response.write(textOf(message));
  }

  #remove(response: ServerResponse): void {
    this.#open.get(response)?.subscription.unsubscribe();
    this.#open.delete(response);
  }
}

/** As the HTML standard's "server-sent events" asks; JSON has no line break outside its escapes. */
const textOf = ({ event, id, data }: LiveMessage): string =>
  `event: ${event}\n${id === undefined ? '' : `id: ${id}\n`}data: ${data}\n\n`;
