import { defaultFigures, figuresWith } from '@tidemark/hydraulics';
import type { RiserFigures } from '@tidemark/hydraulics';
import type { Profile } from '@tidemark/riser';

/**
 * The figures of a profile's riser, SI: what it says, and the documented defaults for the rest. The waterflow switch
 * itself has no retard: the panel keeps it (a story with one at both would wait twice).
 */
export function figuresOf({ supply, nozzles, riserPipe, trim }: Profile): RiserFigures {
  const { switches, piping, prime, chamber, alarmLine } = defaultFigures;
  const bySupply = supply.static / defaultFigures.supply.static_Pa;
  const primeLow_Pa = trim.primeLowBelow ?? switches.primeLow.acts_Pa * bySupply;
  return figuresWith({
    supply: { static_Pa: supply.static, residual_Pa: supply.residual, residualFlow_m3_s: supply.at },
    nozzles: { count: nozzles.count, k_m3_s_sqrtPa: nozzles.k },
    chamber: { volume_m3: trim.primeChamberVolume ?? chamber.volume_m3 },
    prime: { bore_m: trim.primeOrifice ?? prime.bore_m, source: trim.primeSource },
    alarmLine: {
      volume_m3: trim.alarmLineVolume ?? alarmLine.volume_m3,
      testSource: trim.alarmTestSource,
      hole: { ...alarmLine.hole, bore_m: trim.bleedHole ?? alarmLine.hole.bore_m },
    },
    piping: {
      roughness_C: riserPipe.hazenWilliamsC ?? piping.roughness_C,
      riser: {
        ...piping.riser,
        bore_m: riserPipe.diameter ?? piping.riser.bore_m,
        height_m: riserPipe.height ?? piping.riser.height_m,
      },
    },
    switches: {
      waterflow: {
        acts_Pa: trim.waterflowAbove ?? switches.waterflow.acts_Pa,
        returns_Pa: trim.waterflowRestoresBelow ?? switches.waterflow.returns_Pa,
        retard_s: 0,
      },
      primeLow: { acts_Pa: primeLow_Pa, returns_Pa: primeLow_Pa * returnOverTrip, retard_s: 0 },
    },
  });
}

/** 80 psi over 75 psi, the default switch. */
const returnOverTrip = defaultFigures.switches.primeLow.returns_Pa / defaultFigures.switches.primeLow.acts_Pa;
