import type { AlertState } from '@tidemark/words';

/** What happens to an alert. */
export type AlertEvent = 'condition-on' | 'condition-off' | 'acknowledge';

/**
 * The state after an event, after ANSI/ISA-18.2-2016 and IEC 62682 (FACTS 6a; the arrows are from memory): the condition
 * and its answer are two things, and acknowledging never clears. An event that means nothing in a state leaves it.
 */
export function nextAlertState(state: AlertState, event: AlertEvent): AlertState {
  switch (event) {
    case 'condition-on':
      return state === 'normal' || state === 'returned-unacknowledged' ? 'unacknowledged' : state;
    case 'condition-off':
      if (state === 'unacknowledged') return 'returned-unacknowledged';
      return state === 'acknowledged' ? 'normal' : state;
    case 'acknowledge':
      if (state === 'unacknowledged') return 'acknowledged';
      return state === 'returned-unacknowledged' ? 'normal' : state;
  }
}
