import type { Injection } from './injection.ts';
import { plantNotes } from './notes-plant.ts';

/** What is changed beyond the plant, and what is seen of it; keys as in {@link plantNotes}. */
const otherNotes = {
  V10: [
    'the low points are not drained',
    'R: waterflow and priming pressure stay off normal, second trip on reopening',
  ],
  V11: ['the low points are drained after the reset', 'R: waterflow and priming pressure restore only then'],
  V12: ['reset with water in the riser', 'R: priming pressure returns only when the riser is empty'],
  R2: ['wiring of the release circuit open', 'Q: release circuit in trouble within 200 s; D: alarm, nothing else'],
  'R2 short': ['wiring of the release circuit shorted', 'as open'],
  R3: ["the panel's release output is dead", 'D: alarm, no release, no trouble'],
  C1: ['an initiating device stuck in alarm', 'its alarm and the release return after every reset'],
  C2: ['an initiating device dead', 'no alarm when it is operated'],
  C3: ['wiring of an initiating circuit open', 'initiating circuit in trouble within 200 s; its devices are dead'],
  C4: ['the release disconnected', 'its supervisory signal stands; D: alarm, no release'],
  'C4 forgotten': ['the release is not connected again after a test', 'its supervisory signal stands after the test'],
  C5: ['the horns are silenced, and nobody resets', 'R: contacts restore, the panel stays in alarm'],
  C6: ['reset while the device is still operated', 'alarm and release return within seconds'],
  C7: [
    'supervisory points restore otherwise than the profile says',
    'their restorals come only with a reset, or before it',
  ],
  C8: ['two points wired to each other', 'the pattern is right and the names are permuted'],
  C9: ['primary power lost', 'trouble; told to the station after an hour or more'],
  'C9 all': ['primary and standby power lost', 'the panel is silent until power is back'],
  'supply valve': ['the supply valve is not opened again', 'its supervisory signal stands after the crew has left'],
  'supply valve in part': ['the supply valve is opened a part of the way', 'its supervisory signal stands'],
  drains: ['the drains are left open', 'water at the drain in the next discharge'],
  device: ['the initiating device is not set back', 'alarm and release return with the reset'],
  'last reset': ['no last reset after reopening', 'the panel lists what its first reset found again'],
  'supply proof': ['the supply is not proven at its drain', 'nothing: it cannot be seen from the points'],
  K1: [
    'the path is gone, and what is sent meanwhile with it',
    'link down; signals of all points missing, and their numbers',
  ],
  'K1 in part': ['some signals never arrive', 'numbers are missing'],
  K2: ['the path is gone, and what is sent meanwhile comes later', 'a burst of late signals with right device times'],
  'K2 slow': ['the path is slow', 'every signal is late, in its order'],
  K3: ['messages are delivered again', 'the same source and id twice'],
  K4: ['messages are overtaken by those behind them', 'an order that cannot be, within the latency or beyond'],
  K5: ["the panel's clock is ahead", 'device time after receipt, always by as much'],
  'K5 behind': ["the panel's clock is behind", 'device time long before receipt, always by as much'],
  K6: ["the panel's clock gains", 'device time ahead of receipt by ever more'],
  'K6 step': ["the panel's clock steps forward by an hour", 'device time an hour after receipt from one signal on'],
  K7: ['restorals are not forwarded', 'alarms and supervisory signals only begin'],
  K8: ['repeats of a point are suppressed', 'the next activation of a busy point is missing'],
} as const satisfies Readonly<Record<string, readonly [wrong: string, observable: string]>>;

const notes = { ...plantNotes, ...otherNotes };

/** Names a row of the catalogue, or one of its forms. */
export type Note = keyof typeof notes;

/** Row, form and what is to be said of them. */
export function noted(note: Note): Pick<Injection, 'row' | 'form' | 'wrong' | 'observable'> {
  const [wrong, observable] = notes[note];
  const [, row = '', form = ''] = /^([A-Z]\d+)(?: (.+))?$/.exec(note) ?? ['', '', note];
  return { row, form, wrong, observable };
}

/** Whether there is something to be said of a row or form. */
export const isNote = (text: string | undefined): text is Note => text !== undefined && Object.hasOwn(notes, text);
