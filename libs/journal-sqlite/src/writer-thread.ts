import { parentPort, workerData } from 'node:worker_threads';
import { invariant } from '@tidemark/kernel';
import { openSecond } from './database.ts';
import type { Answer } from './group.ts';
import type { AnswersWire, GroupWire } from './group-wire.ts';
import { groupOf, wireOfFault } from './group-wire.ts';
import type { ThreadData } from './source-thread.ts';
import { SqliteWriter } from './sqlite-writer.ts';

/**
 * The thread that writes: one group after the other, each answered when it is durable. It holds no lock of its own; the
 * process that started it does. Told to close, it ends by itself.
 */
const port = parentPort;
invariant(port !== null, 'the writer runs on a thread of its own');
const database = openSecond((workerData as ThreadData).data);
const writer = new SqliteWriter(database);

port.on('message', (message: GroupWire | 'close') => {
  if (message === 'close') {
    database.close();
    port.close();
    return;
  }
  port.postMessage(answersTo(message));
});

function answersTo(message: GroupWire): AnswersWire {
  try {
    const answers: readonly Answer[] = writer.commit(groupOf(message));
    return { type: 'committed', answers };
  } catch (fault) {
    return wireOfFault(fault);
  }
}
