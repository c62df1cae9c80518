import type { SignalName } from '@tidemark/signals';
import { classOf, isInitiating } from '@tidemark/signals';
import type { HeardSignal, HeardStory } from './heard-story.ts';

/** A point off normal, from its signal to its restoral; a repeated `active` in between begins nothing. */
export interface Stretch {
  readonly name: SignalName;
  readonly from: HeardSignal;
  readonly to: HeardSignal | undefined;
}

/** What the signals received by a moment say, each in its place. */
export class Known {
  readonly signals: readonly HeardSignal[];
  readonly stretches: readonly Stretch[];

  constructor(story: HeardStory, by: number) {
    this.signals = story.signals.filter(({ known, received }) => known && received <= by);
    this.stretches = stretchesOf(this.signals);
  }

  of(name: SignalName): readonly Stretch[] {
    return this.stretches.filter((each) => each.name === name);
  }

  /** What was off normal at a moment: begun by then and not over. */
  at(name: SignalName, at: number): Stretch | undefined {
    return this.of(name).find((each) => isOn(each, at));
  }

  initiating(at: number): readonly Stretch[] {
    return this.stretches.filter((each) => isInitiating(each.name) && isOn(each, at));
  }

  /** The stretch that a signal began, as far as it is known. */
  begunBy(signal: HeardSignal): Stretch | undefined {
    return this.stretches.find(({ from }) => from === signal);
  }

  /** Whether what a signal began still lasts. */
  lasts(signal: HeardSignal): boolean {
    const stretch = this.begunBy(signal);
    return stretch !== undefined && stretch.to === undefined;
  }

  get resets(): readonly HeardSignal[] {
    return this.signals.filter(({ name }) => name === 'reset');
  }

  /** Initiating devices in alarm: each beginning, and each announced anew (CONTRACT 3). */
  get alarms(): readonly HeardSignal[] {
    return this.signals.filter(({ name, state }) => isInitiating(name) && state === 'active');
  }
}

/** Whether a stretch holds at a moment. */
export const isOn = ({ from, to }: Stretch, at: number): boolean => from.at <= at && (to === undefined || to.at > at);

/** Whether a signal is an alarm or a supervisory point's. */
export const isWatched = (name: SignalName): boolean => ['alarm', 'supervisory'].includes(classOf(name));

function stretchesOf(signals: readonly HeardSignal[]): readonly Stretch[] {
  const all: Stretch[] = [];
  const open = new Map<string, number>();
  for (const signal of signals) {
    const key = `${signal.name}/${String(signal.point)}`;
    const place = open.get(key);
    const begun = place === undefined ? undefined : all[place];
    if (signal.state === 'active' && signal.name !== 'periodic-test' && begun === undefined)
      open.set(key, all.push({ name: signal.name, from: signal, to: undefined }) - 1);
    if (signal.state === 'restored' && place !== undefined && begun !== undefined) {
      all[place] = { ...begun, to: signal };
      open.delete(key);
    }
  }
  return all;
}
