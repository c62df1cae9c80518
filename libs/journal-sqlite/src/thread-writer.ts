import type { Worker } from 'node:worker_threads';
import { invariant } from '@tidemark/kernel';
import { WriterThreadEnded } from './faults.ts';
import type { Answer, Group, GroupWriter } from './group.ts';
import type { AnswersWire } from './group-wire.ts';
import { faultOf, wireOf } from './group-wire.ts';
import { startThread } from './source-thread.ts';

interface UnderWay {
  readonly resolve: (answers: readonly Answer[]) => void;
  readonly reject: (fault: Error) => void;
}

/**
 * Writes on a thread of its own. When that thread ends on its own, the commit under way is rejected, since nobody
 * knows whether it was made, and the next one starts a new thread, which reads the ends of the streams from the file.
 */
export class ThreadWriter implements GroupWriter {
  readonly #path: string;
  #thread: Worker | undefined;
  #underWay: UnderWay | undefined;

  constructor(path: string) {
    this.#path = path;
    this.#thread = this.#start();
  }

  commit(group: Group): Promise<readonly Answer[]> {
    invariant(this.#underWay === undefined, 'a group is given when the one before is answered');
    const thread = (this.#thread ??= this.#start());
    return new Promise((resolve, reject) => {
      this.#underWay = { resolve, reject };
      thread.ref();
      thread.postMessage(wireOf(group));
    });
  }

  async close(): Promise<void> {
    const thread = this.#thread;
    if (thread === undefined) return;
    this.#thread = undefined;
    thread.ref();
    const ended = new Promise((resolve) => thread.once('exit', resolve));
    thread.postMessage('close');
    await ended;
  }

  #start(): Worker {
    const thread = startThread('writer-thread', this.#path);
    thread.on('message', (wire: AnswersWire) => this.#answer(thread, wire));
    thread.on('error', (cause) => this.#end(thread, new WriterThreadEnded(cause.message, cause)));
    thread.on('exit', (code) => this.#end(thread, new WriterThreadEnded(`exit code ${String(code)}`)));
    // It keeps the process alive while it has something to write, and at no other time.
    thread.unref();
    return thread;
  }

  #answer(thread: Worker, wire: AnswersWire): void {
    const underWay = this.#take();
    thread.unref();
    if (wire.type === 'committed') underWay?.resolve(wire.answers);
    else underWay?.reject(faultOf(wire));
  }

  #end(thread: Worker, fault: WriterThreadEnded): void {
    if (this.#thread !== thread) return;
    this.#thread = undefined;
    this.#take()?.reject(fault);
  }

  #take(): UnderWay | undefined {
    const underWay = this.#underWay;
    this.#underWay = undefined;
    return underWay;
  }
}
