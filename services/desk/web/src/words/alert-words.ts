import type { Alert, RiserSummary } from '@tidemark/api';
import type { RecordForm } from '../address.ts';

/** What people owe an alert. */
type Duty = Alert['duties'][number]['duty'];

/** How an alert stands, in words. */
export const alertStateWords: Readonly<Record<Alert['state'], string>> = {
  unacknowledged: 'nobody has acknowledged it',
  acknowledged: 'acknowledged',
  'returned-unacknowledged': 'over, and nobody has acknowledged it',
  'latched-unacknowledged': 'held by the panel, nobody has acknowledged it',
  'latched-acknowledged': 'held by the panel, acknowledged',
  normal: 'over and acknowledged',
  shelved: 'shelved',
  suppressed: 'told by another alert',
  'out-of-service': 'out of service',
};

/** What an alert is called: a signal by its point's label, a finding by its code, since its label is a paragraph. */
export const alertName = ({ finding, label, name }: Pick<Alert, 'finding' | 'label' | 'name'>): string =>
  finding === undefined ? label : name.replaceAll('-', ' ');

/** The form in which a duty is put on record; none for an acknowledgement, which is one press. */
export const formOf: Readonly<Record<Duty, RecordForm | undefined>> = {
  acknowledge: undefined,
  retransmit: { name: 'call', about: 'fire-service' },
  'notify-subscriber': { name: 'call', about: 'subscriber' },
  'call-designated-person': { name: 'call', about: 'designated-person' },
  'attend-on-site': { name: 'dispatch', about: 'runner' },
  'notify-authority': { name: 'call', about: 'authority' },
  'notify-fire-service': { name: 'call', about: 'fire-service' },
};

/** What the button says that opens a form. */
export const formWords: Readonly<Record<RecordForm['name'], string>> = {
  call: 'Record a call',
  dispatch: 'Record a dispatch',
  note: 'Note',
  declare: 'Declare',
  shelve: 'Shelve',
};

/** How far inaction has escalated, in a sentence; undefined while nothing has. */
export function escalationWords({ level, escalatedTo }: Pick<Alert, 'level' | 'escalatedTo'>): string | undefined {
  if (level === 0) return undefined;
  return `escalated${escalatedTo === undefined ? '' : ` to the ${escalatedTo}`}, step ${level}`;
}

/** So many alerts a list names; what it does not name it does not let be acknowledged. A choice of this project. */
export const named_alerts = 5;

/** What nobody has answered, named as far as a list does. */
export function unansweredWords(unanswered: RiserSummary['openAlerts']['unanswered']): string {
  const named = unanswered.slice(0, named_alerts).map(({ label }) => label);
  const more = unanswered.length - named.length;
  return `${named.join('; ')}${more > 0 ? `; ${more} more` : ''}`;
}
