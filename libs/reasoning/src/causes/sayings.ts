import type { ValueOf, Variable } from './variables.ts';

/** What was observed, as a colleague would say it; after a normal value the finding's symptom is not doubted. */
export const sayings: { readonly [V in Variable]: Readonly<Record<ValueOf<V>, string>> } = {
  release: {
    follows: 'The release followed the alarm.',
    lacking: 'An alarm stood and the release was not reported.',
    unasked: 'The release was reported and no alarm was.',
    late: 'The release came late after the alarm.',
    unreported: 'Water and priming pressure moved as after a release, and none was reported.',
  },
  releaseAfterReset: {
    'at-rest': 'The release was reported at rest after the reset.',
    stays: 'The release stayed energized after the reset.',
  },
  tripPrime: {
    falls: 'Priming pressure fell at the release: the chamber vented.',
    'falls-late': 'Priming pressure fell late at the release.',
    holds: 'Priming pressure was not reported low at the release.',
  },
  tripFlow: {
    'in-time': 'Waterflow came in time after the release.',
    late: 'Waterflow came late after the release.',
    'very-late': 'Waterflow came much too late after the release.',
    early: 'Waterflow came too early after the release.',
    lacking: 'No waterflow followed the release.',
  },
  selfTrip: {
    none: 'Nothing moved before the release.',
    'prime-alone': 'Priming pressure fell with no release, and no water was reported.',
    'prime-then-water': 'Priming pressure fell with no release, and water was reported seconds later.',
    together: 'Priming pressure fell and water was reported together, with no release.',
    'water-unwitnessed': 'Water was reported with no release, and no point tells of priming pressure.',
    'water-alone': 'Water was reported with no release, and priming pressure held.',
  },
  supplyPressure: {
    steady: 'The supply pressure was not reported low.',
    'falls-before': 'The supply pressure was reported low first.',
    'falls-in-flow': 'The supply pressure was reported low while water flowed.',
  },
  isolated: {
    no: 'The supply valve was not reported closed when the release acted.',
    yes: 'The supply valve was reported closed when the release acted.',
  },
  closing: {
    reported: 'The supply valve reported its closing in the shut-down.',
    missing: 'Water stopped and the supply valve reported nothing.',
    'uncalled-for': 'The supply valve was reported closed with nothing going on.',
  },
  waterWhileClosed: {
    none: 'No water was reported while the supply valve was closed.',
    begins: 'Water began while the supply valve was reported closed.',
    'begins-after-reset': 'Water began after the reset while the supply valve was still reported off normal.',
  },
  drainDown: {
    'in-time': 'The waterflow alarm restored in time after the valve was closed.',
    early: 'The waterflow alarm restored early after the valve was closed.',
    lasting: 'The waterflow alarm outlasted the drain-down.',
  },
  resetFound: {
    'all-clear': 'The last reset found every alarm restored.',
    'device-active': 'A reset found an initiating device not restored.',
    'water-active': 'A reset found the waterflow alarm not restored.',
  },
  reAlarm: {
    none: 'Nothing went into alarm again after the reset.',
    device: 'An initiating device went into alarm again after the reset.',
    water: 'The waterflow alarm came again after the reset.',
    panel: 'The panel went into alarm again after the reset and named no device.',
  },
  refill: {
    'in-time': 'Priming pressure returned in time after the reset.',
    early: 'Priming pressure returned too early after the reset.',
    late: 'Priming pressure returned late after the reset.',
    lacking: 'Priming pressure did not return after the reset.',
  },
  reopening: {
    quiet: 'The supply was reopened and the riser stayed quiet.',
    'trips-unprimed': 'The riser tripped again on reopening, its priming pressure not having come back.',
    'trips-primed': 'The riser tripped again on reopening, though its priming pressure had come back.',
  },
  reopened: {
    reported: 'The supply valve was reported fully open again.',
    missing: 'The supply valve was not reported open again.',
  },
  testFlow: {
    came: 'The last alarm test brought waterflow.',
    lacking: 'The last alarm test brought no waterflow.',
    trips: 'The alarm test took the priming pressure down as well.',
  },
  testEnd: {
    restores: 'The waterflow alarm restored after the last test.',
    lasting: 'The waterflow alarm outlasted the last test.',
  },
  chatter: {
    none: 'No contact chattered.',
    water: 'The waterflow switch chattered.',
    valve: 'The switch of the supply valve chattered.',
    other: 'A contact chattered.',
  },
  path: {
    sound: 'The path from the panel was sound.',
    silent: 'Nothing was heard from the panel.',
    gaps: 'Signals are missing by their numbers.',
    disorder: 'Signals came late and out of order.',
  },
  clock: { right: 'The clock of the panel is right.', wrong: 'The clock of the panel is wrong.' },
  releaseCircuit: {
    sound: 'The release circuit reports no trouble.',
    trouble: 'The panel reports trouble in the release circuit.',
  },
  initiatingCircuit: {
    sound: 'The initiating circuits report no trouble.',
    trouble: 'The panel reports trouble in an initiating circuit.',
  },
  power: { sound: 'The panel reports its power as sound.', trouble: 'The panel reports trouble with its power.' },
  disconnect: { off: 'The release is not disconnected.', on: 'The release is reported disconnected.' },
  names: { right: 'The points bear the right names.', permuted: 'The pattern is right and the names are permuted.' },
  steps: {
    done: 'The restoration was finished.',
    open: 'The riser went quiet with steps of the restoration open.',
  },
  restorals: {
    sent: 'The panel reported restorals in this episode.',
    none: 'The panel was reset and reported no restoral in this episode.',
  },
};
