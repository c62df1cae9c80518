import type { Duty } from '@tidemark/words';

/** What a duty asks for, in words for the person who owes it. */
export const dutyTitles: Readonly<Record<Duty, string>> = {
  acknowledge: 'Acknowledge it',
  retransmit: 'Retransmit it to the fire service',
  'notify-subscriber': 'Notify the subscriber',
  'call-designated-person': 'Call a designated person',
  'attend-on-site': 'Have somebody on site',
  'notify-authority': 'Notify the authority having jurisdiction',
  'notify-fire-service': 'Notify the fire service',
};
