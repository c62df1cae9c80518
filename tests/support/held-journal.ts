import type {
  Append,
  Appended,
  AppendRejection,
  Journal,
  ReadAll,
  ReadStream,
  StreamName,
  Subscribe,
} from '@tidemark/journal';
import { JournalUnavailable } from '@tidemark/journal';
import type { Position } from '@tidemark/journal';
import type { Result } from '@tidemark/kernel';

interface Deferred {
  readonly go: () => void;
  readonly fail: (fault: Error) => void;
}

/** A journal whose commits the test holds back or lets fail; everything else is the journal behind it. */
export class HeldJournal implements Journal {
  readonly #journal: Journal;
  #held: Deferred[] | undefined;
  #failures = 0;
  /** How many appends of any kind were asked for, held or not. */
  asked = 0;

  constructor(journal: Journal) {
    this.#journal = journal;
  }

  /** From now on commits wait until `release`. */
  hold(): void {
    this.#held ??= [];
  }

  release(): void {
    const held = this.#held ?? [];
    this.#held = undefined;
    for (const { go } of held) go();
  }

  /** What is held fails, recorded nowhere, as if the machine had stopped there. */
  drop(): void {
    const held = this.#held ?? [];
    this.#held = undefined;
    for (const { fail } of held) fail(new JournalUnavailable('append', new Error('stopped')));
  }

  /** The next `count` commits fail, as if the disk were full, before anything is recorded. */
  fail(count: number): void {
    this.#failures = count;
  }

  async append(append: Append): Promise<Result<Appended, AppendRejection>> {
    await this.#pass();
    return this.#journal.append(append);
  }

  async appendAll(appends: readonly Append[]): Promise<readonly Result<Appended, AppendRejection>[]> {
    await this.#pass();
    return this.#journal.appendAll(appends);
  }

  readStream = (stream: StreamName, options?: ReadStream): ReturnType<Journal['readStream']> =>
    this.#journal.readStream(stream, options);
  readAll = (options?: ReadAll): ReturnType<Journal['readAll']> => this.#journal.readAll(options);
  subscribe = (options?: Subscribe): ReturnType<Journal['subscribe']> => this.#journal.subscribe(options);
  head = (): ReturnType<Journal['head']> => this.#journal.head();
  readCheckpoint = (name: string): ReturnType<Journal['readCheckpoint']> => this.#journal.readCheckpoint(name);
  writeCheckpoint = (name: string, position: Position): Promise<void> => this.#journal.writeCheckpoint(name, position);
  verify = (stream?: StreamName): ReturnType<Journal['verify']> => this.#journal.verify(stream);
  close = (): Promise<void> => this.#journal.close();

  async #pass(): Promise<void> {
    this.asked += 1;
    if (this.#failures > 0) {
      this.#failures -= 1;
      throw new JournalUnavailable('append', new Error('no space left on device'));
    }
    const held = this.#held;
    if (held !== undefined) await new Promise<void>((go, fail) => held.push({ go, fail }));
  }
}
