import type { Profile, ProfilePoint } from '@tidemark/riser';
import type { ReadingName, SignalName, vocabulary } from '@tidemark/signals';
import { classOf, isInitiating, isReading } from '@tidemark/signals';

/** How a panel is programmed. Times in seconds. */
export interface PanelSettings {
  readonly contacts: readonly ContactPoint[];
  readonly readings: readonly ReadingPoint[];
  /** The point under which the solenoid is reported, and whether there is an electric release at all. */
  readonly solenoidPoint: number | undefined;
  readonly releasesElectrically: boolean;
  /** The release waits for automatic detectors of two zones; a pull station releases by itself. */
  readonly crossZoned: boolean;
  readonly releaseDelay_s: number;
  readonly refusesResetWhileActive: boolean;
  /** When the restoral of a point is reported: with its contact, or with the next reset (CONTRACT 3). */
  readonly alarmRestorals: 'contact' | 'reset';
  readonly supervisoryRestorals: 'contact' | 'reset';
  /** From a reset until what is still off normal is announced anew. */
  readonly resetSettle_s: number;
  readonly periodicTest_s: number;
  /** How long the loss of primary power is held back from the station. */
  readonly acLossHold_s: number;
}

/** What is wired to a point: alarm and supervisory devices. */
type WiredSignal = (typeof vocabulary)['alarm' | 'supervisory'][number];

/** A numbered point with two states. */
export interface ContactPoint {
  readonly point: number;
  readonly signal: WiredSignal;
  /** Whether its alarm releases, and as which of the crossed zones. */
  readonly releases: boolean;
  readonly zone: number;
  /**
   * What stands between the condition and the panel's acting on it. By retard it must hold so long without a break; by
   * verification it is looked at again after so long.
   */
  readonly hold: { readonly by: 'retard' | 'verification'; readonly for_s: number } | undefined;
}

/** A numbered point with a gauge, and the unit it is published in. */
export type ReadingPoint = { readonly point: number } & (
  | { readonly signal: Exclude<ReadingName, 'flow'>; readonly unit: 'psi' }
  | { readonly signal: 'flow'; readonly unit: 'gpm' }
);

/** What the installer chooses and the profile does not say. */
export interface PanelChoices {
  /** Automatic detectors release by twos; each of their points is a zone. */
  readonly crossZoned?: boolean;
}

/** The programme of the panel of a profile. */
export function panelSettings(profile: Profile, { crossZoned = false }: PanelChoices = {}): PanelSettings {
  const { link, panel } = profile;
  return {
    contacts: profile.points.flatMap((point) => contactPoint(point, panel)),
    readings: profile.points.flatMap(readingPoint),
    solenoidPoint: profile.points.find(({ signal }) => signal === 'solenoid')?.point,
    releasesElectrically: profile.release === 'electric',
    crossZoned,
    releaseDelay_s: panel.releaseDelaySeconds,
    refusesResetWhileActive: panel.refusesResetWhileActive,
    alarmRestorals: panel.restorals,
    supervisoryRestorals: panel.supervisoryRestorals,
    resetSettle_s: Math.min(usualSettle_s, panel.resetSettleSeconds),
    periodicTest_s: Math.max(leastPeriodicTest_s, link.supervisionSeconds * periodicShare),
    acLossHold_s: leastAcLossHold_s,
  };
}

/** The points that a contact of the plant is wired to; none where the riser does not report it. */
export const wiredPoints = ({ contacts }: PanelSettings, signal: SignalName): readonly number[] =>
  contacts.filter((each) => each.signal === signal).map(({ point }) => point);

/** From a reset to the second announcement: 2 s (MODEL 4, healthy pattern). EN 54-2, 7.6, allows 20 s (from memory). */
const usualSettle_s = 2;

/** A periodic test comes well before its absence is noticed (choice of this project). */
const periodicShare = 5 / 6;

/** A supervision interval of no length would ask for tests without end (choice of this project). */
const leastPeriodicTest_s = 1;

/** NFPA 72, 10.6.9.3: loss of primary power is told to the station after 60 to 180 minutes (from memory, FACTS 1.14). */
const leastAcLossHold_s = 3_600;

function contactPoint({ point, releases, signal }: ProfilePoint, panel: Profile['panel']): readonly ContactPoint[] {
  if (!isWired(signal)) return [];
  return [
    {
      point,
      signal,
      releases: releases && isInitiating(signal),
      zone: point,
      hold: holdOf(signal, panel),
    },
  ];
}

const isWired = (signal: SignalName): signal is WiredSignal =>
  classOf(signal) === 'alarm' || classOf(signal) === 'supervisory';

/** NFPA 72, 3.3, alarm verification: a feature of smoke detectors (from memory). A pull station never waits. */
function holdOf(signal: SignalName, panel: Profile['panel']): ContactPoint['hold'] {
  if (signal === 'waterflow') return { by: 'retard', for_s: panel.waterflowRetardSeconds };
  if (signal === 'smoke') return { by: 'verification', for_s: panel.verificationSeconds };
  return undefined;
}

function readingPoint({ point, signal }: ProfilePoint): readonly ReadingPoint[] {
  if (!isReading(signal)) return [];
  return [signal === 'flow' ? { point, signal, unit: 'gpm' } : { point, signal, unit: 'psi' }];
}
