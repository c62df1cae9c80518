import { atmosphere_Pa, orificeConstant_m3_s_sqrtPa } from '@tidemark/hydraulics';
import type { RiserFigures } from '@tidemark/hydraulics';
import { contactNames, valveNames } from './names.ts';
import { pipingParameters, soundParameters } from './parameters.ts';
import type { ContactParameters, Parameters, ValveParameters } from './parameters.ts';
import type { ContactPatch, PlantPatch, ValvePatch } from './patch.ts';
import { stable } from './power.ts';

/** The parameters of a riser with faults, applied in the order given. */
export function patchedParameters(figures: RiserFigures, patches: readonly PlantPatch[]): Parameters {
  const sound = soundParameters(figures);
  const factor = patches.reduce((product, patch) => product * nozzleFactor(patch), 1);
  const piping = factor === 1 ? sound.piping : pipingParameters(figures, factor);
  return patches.reduce((parameters, patch) => patched(parameters, patch, figures), { ...sound, piping });
}

const share = (open: number | undefined): number => 1 - Math.min(1, Math.max(0, open ?? 0));

/** A blocked nozzle passes in proportion to what is left of it, so its loss grows with the square. */
function nozzleFactor({ nozzles }: PlantPatch): number {
  const left = Math.max(1e-3, share(nozzles?.obstructed));
  return (nozzles?.lossFactor ?? 1) / (left * left);
}

function patched(sound: Parameters, patch: PlantPatch, figures: RiserFigures): Parameters {
  return {
    ...sound,
    supply: patchedSupply(sound, patch),
    clapper: {
      ...sound.clapper,
      stuck: patch.clapper?.stuck ?? sound.clapper.stuck,
      seatLeak_m3_s_sqrtPa: patch.clapper?.seatLeak_m3_s_sqrtPa ?? sound.clapper.seatLeak_m3_s_sqrtPa,
    },
    chamber: {
      ...sound.chamber,
      leak_m3_s_sqrtPa: patch.chamber?.leak_m3_s_sqrtPa ?? sound.chamber.leak_m3_s_sqrtPa,
      airFloor_J: stable(
        patch.chamber?.trappedAir_m3 === undefined
          ? sound.chamber.airFloor_J
          : patch.chamber.trappedAir_m3 * atmosphere_Pa,
      ),
    },
    prime: patchedPrime(sound, patch, figures),
    relief: {
      ...sound.relief,
      open_m3_s_sqrtPa: sound.relief.open_m3_s_sqrtPa * share(patch.relief?.plugged),
      leak_m3_s_sqrtPa: patch.relief?.leak_m3_s_sqrtPa ?? sound.relief.leak_m3_s_sqrtPa,
      stuck: patch.relief?.stuck ?? sound.relief.stuck,
    },
    drip: { ...sound.drip, open_m3_s_sqrtPa: sound.drip.open_m3_s_sqrtPa * share(patch.drip?.plugged) },
    alarmLine: patchedAlarmLine(sound, patch),
    valves: sound.valves.map((valve, index) => patchedValve(valve, patch.valves?.[valveNames[index] ?? 'supply'])),
    contacts: sound.contacts.map((contact, index) =>
      patchedContact(contact, patch.contacts?.[contactNames[index] ?? 'waterflow']),
    ),
  };
}

function patchedSupply({ supply }: Parameters, patch: PlantPatch): Parameters['supply'] {
  const static_Pa = patch.supply?.static_Pa ?? supply.static_Pa;
  const residual_Pa = patch.supply?.residual_Pa ?? static_Pa - supply.drop_Pa;
  return {
    ...supply,
    static_Pa,
    drop_Pa: static_Pa - residual_Pa,
    shift_Pa: supply.shift_Pa + (patch.supply?.shift_Pa ?? 0),
  };
}

function patchedPrime({ prime }: Parameters, patch: PlantPatch, figures: RiserFigures): Parameters['prime'] {
  const { bore_m, checkLeak_m3_s_sqrtPa, checkStuckShut, plugged } = patch.prime ?? {};
  const bored =
    bore_m === undefined ? prime.open_m3_s_sqrtPa : stable(orificeConstant_m3_s_sqrtPa({ ...figures.prime, bore_m }));
  return {
    ...prime,
    open_m3_s_sqrtPa: checkStuckShut === true ? 0 : bored * share(plugged),
    checkLeak_m3_s_sqrtPa: checkLeak_m3_s_sqrtPa ?? prime.checkLeak_m3_s_sqrtPa,
  };
}

function patchedAlarmLine({ alarmLine }: Parameters, patch: PlantPatch): Parameters['alarmLine'] {
  const { checkLeak_m3_s_sqrtPa, checkPlugged, holeFactor, holePlugged, isolates } = patch.alarmLine ?? {};
  return {
    ...alarmLine,
    hole_m3_s_sqrtPa: alarmLine.hole_m3_s_sqrtPa * share(holePlugged) * (holeFactor ?? 1),
    check_m3_s_sqrtPa: alarmLine.check_m3_s_sqrtPa * share(checkPlugged),
    checkLeak_m3_s_sqrtPa: checkLeak_m3_s_sqrtPa ?? alarmLine.checkLeak_m3_s_sqrtPa,
    isolates: isolates ?? alarmLine.isolates,
  };
}

const patchedValve = (valve: ValveParameters, patch: ValvePatch | undefined): ValveParameters =>
  patch === undefined
    ? valve
    : {
        stroke_s: patch.stroke_s ?? valve.stroke_s,
        stuckAt: patch.stuckAt ?? valve.stuckAt,
        open_m3_s_sqrtPa: valve.open_m3_s_sqrtPa * share(patch.plugged),
        passing_m3_s_sqrtPa: patch.passing_m3_s_sqrtPa ?? valve.passing_m3_s_sqrtPa,
      };

const patchedContact = (contact: ContactParameters, patch: ContactPatch | undefined): ContactParameters =>
  patch === undefined
    ? contact
    : {
        ...contact,
        acts: patch.acts ?? contact.acts,
        returns: patch.returns ?? contact.returns,
        retard_s: patch.retard_s ?? contact.retard_s,
        stuck: patch.stuck ?? contact.stuck,
        chatter: patch.chatter ?? contact.chatter,
      };
