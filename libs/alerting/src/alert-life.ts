/** The life of an alert's condition and its answer: states A to F of ANSI/ISA-18.2-2016 and IEC 62682 (FACTS 6a). */
export type Life =
  | 'normal'
  | 'unacknowledged'
  | 'acknowledged'
  | 'returned-unacknowledged'
  | 'latched-unacknowledged'
  | 'latched-acknowledged';

/** What happens to it. `latch-released` is the reset that finds the condition gone. */
export type LifeEvent = 'condition-on' | 'condition-off' | 'acknowledge' | 'latch-released';

/** The condition stands now. */
export const isActive = (life: Life): boolean => life === 'unacknowledged' || life === 'acknowledged';

/** The condition is gone and its panel still holds the alarm. */
export const isLatched = (life: Life): boolean => life === 'latched-unacknowledged' || life === 'latched-acknowledged';

/** Nobody has answered. */
export const isUnanswered = (life: Life): boolean =>
  life === 'unacknowledged' || life === 'returned-unacknowledged' || life === 'latched-unacknowledged';

type Row = Partial<Readonly<Record<LifeEvent, Life>>>;

/** FACTS 6.01 to 6.08; the arrows are from memory. E with a reset goes to D, as nobody has seen it: a choice of this project. */
const arrows: Readonly<Record<Life, Row>> = {
  normal: { 'condition-on': 'unacknowledged' },
  unacknowledged: { acknowledge: 'acknowledged', 'condition-off': 'returned-unacknowledged' },
  acknowledged: { 'condition-off': 'normal' },
  'returned-unacknowledged': { acknowledge: 'normal', 'condition-on': 'unacknowledged' },
  'latched-unacknowledged': {
    acknowledge: 'latched-acknowledged',
    'condition-on': 'unacknowledged',
    'latch-released': 'returned-unacknowledged',
  },
  'latched-acknowledged': { 'condition-on': 'unacknowledged', 'latch-released': 'normal' },
};

/** The life after an event. The condition and its answer are two things: acknowledging never clears, a reset never acknowledges. */
export function nextLife(life: Life, event: LifeEvent, latches: boolean): Life {
  if (event === 'condition-off' && latches && isActive(life))
    return life === 'acknowledged' ? 'latched-acknowledged' : 'latched-unacknowledged';
  return arrows[life][event] ?? life;
}

/** An alert that comes off the shelf or back into service is seen afresh: it alarms anew if anything still stands (FACTS 6.09, 6.11). */
export function seenAfresh(life: Life): Life {
  if (isActive(life)) return 'unacknowledged';
  return isLatched(life) ? 'latched-unacknowledged' : 'normal';
}
