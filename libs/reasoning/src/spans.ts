import { defaultFigures, figuresWith, predictWindows } from '@tidemark/hydraulics';
import type { RiserFigures, Windows } from '@tidemark/hydraulics';
import type { Profile } from '@tidemark/riser';
import { narrowedWindows } from './narrowing.ts';
import type { Learned } from './narrowing.ts';

/** The profile's limits and predicted windows in milliseconds, worked out once per profile. */
export interface Spans {
  readonly windows: Windows;
  readonly latency_ms: number;
  readonly scan_ms: number;
  /** From the alarm to the release, at most (CONTRACT 5.2). */
  readonly release_ms: number;
  readonly releaseDelay_ms: number;
  readonly settle_ms: number;
  /** From the release to the waterflow signal, at most, scan included. */
  readonly waterflow_ms: number;
  /** From the valve signal to the end of drain-down and bleed-down: closing, drains opened, drained. */
  readonly drainDown_ms: number;
  /** From the test valve's closing to the waterflow's restoral, at most. */
  readonly bleedDown_ms: number;
  /** From the reset to the return of priming pressure, at most. */
  readonly refill_ms: number;
  readonly quiet_ms: number;
  readonly reopen_ms: number;
}

const known = new WeakMap<Profile, Spans>();

/** The spans of a profile, its windows narrowed by what clean tests taught. */
export function spansOf(profile: Profile, learned: Learned): Spans {
  const before = known.get(profile);
  const prior = before ?? sharedSpans(profile);
  if (before === undefined) known.set(profile, prior);
  const windows = narrowedWindows(prior.windows, learned, profile.limits.scanSeconds);
  return windows === prior.windows ? prior : spansWithin(profile, windows);
}

const shared = new Map<string, Spans>();

/** Different spans remembered to be shared; beyond this all are forgotten (choice of this project: a fleet has a few kinds of risers). */
const sharedLimit = 256;

/** Risers of like figures share their spans: predicting them takes time, and each would hold its own. */
function sharedSpans(profile: Profile): Spans {
  const figures = figuresOf(profile);
  const { limits, link, panel } = profile;
  const key = JSON.stringify([figures, limits, link, panel]);
  const before = shared.get(key);
  if (before !== undefined) return before;
  if (shared.size >= sharedLimit) shared.clear();
  const spans = spansWithin(profile, predictWindows(figures));
  shared.set(key, spans);
  return spans;
}

const ms = (seconds: number): number => Math.round(seconds * 1_000);

function spansWithin(profile: Profile, windows: Windows): Spans {
  const { limits, link, panel } = profile;
  const scan_s = limits.scanSeconds;
  return {
    windows,
    latency_ms: ms(link.latencySeconds),
    scan_ms: ms(scan_s),
    release_ms: ms(panel.releaseDelaySeconds + limits.releaseToleranceSeconds),
    releaseDelay_ms: ms(panel.releaseDelaySeconds),
    settle_ms: ms(panel.resetSettleSeconds),
    waterflow_ms: ms(windows.releaseToWaterflow.max_s + scan_s),
    drainDown_ms: ms(
      windows.supplyCloseStroke.max_s +
        limits.drainsOpenWithinSeconds +
        windows.drainsOpenToFlowRestored.max_s +
        scan_s,
    ),
    bleedDown_ms: ms(windows.testShutToFlowRestored.max_s + scan_s),
    refill_ms: ms(windows.resetToPrimeRestored.max_s + scan_s),
    quiet_ms: ms(limits.quietSeconds),
    reopen_ms: ms(limits.reopenSeconds),
  };
}

/** Whether two profiles describe the same water: then what one taught holds for the other. */
export const sameFigures = (one: Profile, other: Profile): boolean =>
  one === other ||
  (JSON.stringify(figuresOf(one)) === JSON.stringify(figuresOf(other)) &&
    one.limits.scanSeconds === other.limits.scanSeconds);

/** A profile's figures for the hydraulics: what it gives, and the documented default for the rest. */
export function figuresOf(profile: Profile): RiserFigures {
  const { supply, nozzles, panel, trim } = profile;
  const base = defaultFigures;
  const scale = supply.static / base.supply.static_Pa;
  const waterflow = {
    acts_Pa: trim.waterflowAbove ?? base.switches.waterflow.acts_Pa,
    returns_Pa: trim.waterflowRestoresBelow ?? base.switches.waterflow.returns_Pa,
    retard_s: panel.waterflowRetardSeconds,
  };
  const primeLow = {
    acts_Pa: trim.primeLowBelow ?? base.switches.primeLow.acts_Pa * scale,
    returns_Pa:
      trim.primeLowBelow === undefined ? base.switches.primeLow.returns_Pa * scale : trim.primeLowBelow * primeLowRatio,
    retard_s: 0,
  };
  const { riser } = base.piping;
  return figuresWith({
    supply: { static_Pa: supply.static, residual_Pa: supply.residual, residualFlow_m3_s: supply.at },
    nozzles: { count: nozzles.count, k_m3_s_sqrtPa: nozzles.k },
    chamber: { volume_m3: trim.primeChamberVolume ?? base.chamber.volume_m3 },
    prime: { bore_m: trim.primeOrifice ?? base.prime.bore_m, source: trim.primeSource },
    alarmLine: {
      volume_m3: trim.alarmLineVolume ?? base.alarmLine.volume_m3,
      testSource: trim.alarmTestSource,
      hole: { ...base.alarmLine.hole, bore_m: trim.bleedHole ?? base.alarmLine.hole.bore_m },
    },
    piping: {
      roughness_C: profile.riserPipe.hazenWilliamsC ?? base.piping.roughness_C,
      riser: {
        ...riser,
        bore_m: profile.riserPipe.diameter ?? riser.bore_m,
        height_m: profile.riserPipe.height ?? riser.height_m,
      },
    },
    switches: { waterflow, primeLow },
  });
}

/** Return over trip of the priming switch: 80 psi over 75 psi (MODEL 1.8). */
const primeLowRatio = defaultFigures.switches.primeLow.returns_Pa / defaultFigures.switches.primeLow.acts_Pa;
