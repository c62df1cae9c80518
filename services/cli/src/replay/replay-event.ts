import { unreachable } from '@tidemark/kernel';
import type { AlertTarget, RiserCommand, RiserEvent } from '@tidemark/riser';
import { receivedSignal } from '@tidemark/riser';
import type { CommandData, ReplayEntry } from '@tidemark/signals';

/** What makes two lines the same message; link messages have no identity, and saying one again changes nothing. */
export function identityOf(entry: ReplayEntry): string | undefined {
  switch (entry.type) {
    case 'signal':
      return JSON.stringify([entry.signal.source, entry.signal.id]);
    case 'command':
      return JSON.stringify(['/station', entry.id]);
    case 'link':
      return undefined;
    default:
      return unreachable(entry);
  }
}

/** A line as an event of its riser. Evidence cites the source and id, or the line where there is neither. */
export function eventOf(entry: ReplayEntry, line: number): RiserEvent {
  const { receivedAt } = entry;
  switch (entry.type) {
    case 'signal':
      return receivedSignal(entry.signal, { id: `${entry.signal.source} ${entry.signal.id}`, receivedAt });
    case 'command': {
      const by = typeof entry.command['by'] === 'string' ? entry.command['by'] : 'station';
      return { type: 'command-given', id: `/station ${entry.id}`, receivedAt, by, command: commandOf(entry.command) };
    }
    case 'link': {
      const session = entry.session === undefined ? {} : { session: entry.session };
      return { type: 'link-reported', id: `line ${line}`, receivedAt, link: entry.link, ...session };
    }
    default:
      return unreachable(entry);
  }
}

/** Leaves out the members we do not know, which a command may carry. */
function commandOf(data: CommandData): RiserCommand {
  switch (data.command) {
    case 'test-begin':
      return { command: data.command, forSeconds: data.forSeconds, expect: data.expect };
    case 'impairment-begin':
      return { command: data.command, kind: data.kind, reason: data.reason };
    case 'acknowledge':
      return { command: data.command, ...targetOf(data) };
    case 'confirm':
      return { command: data.command, step: data.step };
    case 'check-answered':
      return { command: data.command, check: data.check, found: data.found };
    case 'shelve':
      return { command: data.command, ...targetOf(data), forSeconds: data.forSeconds, reason: data.reason };
    case 'unshelve':
      return { command: data.command, ...targetOf(data) };
    case 'note':
      return { command: data.command, text: data.text };
    case 'call-recorded': {
      const { command, to, outcome, person, note, alert } = data;
      return { command, to, outcome, person, note, alert };
    }
    case 'dispatch-recorded': {
      const { command, unit, stage, reference, note, alert } = data;
      return { command, unit, stage, reference, note, alert };
    }
    case 'test-end':
    case 'impairment-end':
      return { command: data.command };
    default:
      return unreachable(data);
  }
}

const targetOf = ({ finding, alert }: AlertTarget): AlertTarget => (finding === undefined ? { alert } : { finding });
