/** What is wrong with a panel that has the defect, and the test that would find it. */
export interface DefectNote {
  readonly wrong: string;
  readonly test: string;
}

/** Every defect that a virtual panel can be given, by the name of what it does wrong. */
export const panelDefects = {
  'release-held-through-reset': {
    wrong: 'A reset does not drop the release output.',
    test: 'Reset after all devices are normal: the solenoid is at rest within the settling time.',
  },
  'release-follows-device': {
    wrong: 'The release output drops when the device restores, instead of holding until reset.',
    test: 'Restore the device in alarm: the solenoid stays energized until reset.',
  },
  'release-output-dead': {
    wrong: 'The release output is never switched, without any trouble.',
    test: 'Operate a releasing device: the solenoid is energized by the release deadline.',
  },
  'release-delay-skipped': {
    wrong: 'The release acts without its programmed delay.',
    test: 'Time the release: not before the programmed delay.',
  },
  'release-delay-doubled': {
    wrong: 'The release acts after twice its programmed delay.',
    test: 'Time the release: by the programmed delay and its tolerance.',
  },
  'one-zone-releases': {
    wrong: 'One of two crossed zones is enough to release.',
    test: 'Operate one zone alone: alarm, and no release.',
  },
  'supervisory-releases': {
    wrong: 'A supervisory signal energizes the release.',
    test: 'Make each supervisory contact: no release.',
  },
  'releases-while-disconnected': {
    wrong: 'The disconnect switch is reported, but does not open the release circuit.',
    test: 'Disconnect, operate a device: the solenoid stays at rest.',
  },
  'disconnect-not-reported': {
    wrong: 'Operating the disconnect switch gives no supervisory signal.',
    test: 'Disconnect: supervisory signal within 90 s.',
  },
  'release-circuit-unsupervised': {
    wrong: 'An open or shorted release circuit gives no trouble.',
    test: 'Open and short the release circuit: trouble within 200 s each time.',
  },
  'reset-not-refused': {
    wrong: 'A reset is performed while a device is active, although the programme refuses it.',
    test: 'Reset with a device active: the alarm stays and no reset is reported.',
  },
  'reset-not-reported': {
    wrong: 'A performed reset is not published.',
    test: 'Reset: the signal `reset` arrives.',
  },
  'silence-drops-release': {
    wrong: 'Silencing the horns drops the release output too.',
    test: 'Silence in alarm: the solenoid stays energized.',
  },
  'silence-lasts': {
    wrong: 'After silencing, an alarm from another point does not sound the horns again.',
    test: 'Silence, operate another device: the horns sound again.',
  },
  'waterflow-late': {
    wrong: 'Waterflow is held back for 110 s more.',
    test: 'Sustained flow: alarm within 90 s and 10 s.',
  },
  'waterflow-not-latching': {
    wrong: 'A waterflow alarm does not hold until reset: it is gone when the flow stops.',
    test: 'Flow that stops: the panel stays in alarm until reset.',
  },
  'waterflow-as-supervisory': {
    wrong: 'Waterflow puts the panel in supervisory instead of alarm.',
    test: 'Flow: `panel-alarm`, and no `panel-supervisory`.',
  },
  'surge-alarms': {
    wrong: 'Flow that stops before the retard is over gives an alarm all the same.',
    test: 'Flow for less than the retard: no alarm.',
  },
  'verification-blind': {
    wrong: 'The alarm is given after the verification time whether or not the detector still is in alarm.',
    test: 'A detector that restores within the verification time: no alarm.',
  },
  'supervisory-not-anew': {
    wrong: 'After a reset a supervisory point that still is off normal is not announced anew.',
    test: 'Reset with the supply valve shut: its supervisory signal comes again.',
  },
  'supervisory-restored-early': {
    wrong: 'A reset reports supervisory points as restored that still are off normal.',
    test: 'Reset with the supply valve shut: no restoral before the valve is fully open.',
  },
  'panel-alarm-not-anew': {
    wrong: 'An alarm found again after a reset does not put the panel in alarm anew.',
    test: 'Reset with a device active: `panel-alarm` comes again.',
  },
  'restoral-lost': {
    wrong: 'Restorals of initiating devices are never published.',
    test: 'Restore each device, and reset where alarms latch: its restoral arrives.',
  },
  'point-number-wrong': {
    wrong: 'Waterflow is published under the number of the next point.',
    test: 'Make each contact: the point number is the one of the profile.',
  },
  'trouble-late': {
    wrong: 'Circuit faults are held back for 300 s more.',
    test: 'Open each circuit, and mend it: trouble and its restoral within 200 s.',
  },
  'battery-unsupervised': {
    wrong: 'A failed battery gives no trouble.',
    test: 'Disconnect the battery: trouble within 200 s.',
  },
  'periodic-test-missing': {
    wrong: 'No periodic test is sent.',
    test: 'Leave the panel alone for the supervision interval: a periodic test arrives.',
  },
  'clock-ahead': {
    wrong: 'The panel stamps its signals 120 s ahead of the time.',
    test: 'Compare the stamp with the time of receipt: within the limit of the profile.',
  },
  'number-repeated': {
    wrong: 'A restoral bears the sequence number of the signal before it.',
    test: 'Sequence numbers rise by one with each signal.',
  },
} as const satisfies Readonly<Record<string, DefectNote>>;

/** The name of a defect. */
export type PanelDefect = keyof typeof panelDefects;
