import { contactNames, valveNames } from './names.ts';
import type { ContactName, ValveName } from './names.ts';
import { position } from './openings.ts';
import type { Plant } from './plant.ts';
import { stateAt } from './plant.ts';

/** What gauges, meters and eyes would show, SI, at the moment the plant was last advanced to. */
export interface PlantView {
  readonly at_s: number;
  readonly pressures_Pa: {
    readonly supply: number;
    readonly inlet: number;
    readonly outlet: number;
    readonly chamber: number;
    readonly alarmLine: number;
  };
  readonly flows_m3_s: {
    readonly supplyValve: number;
    readonly nozzles: number;
    readonly outletDrains: number;
    readonly supplyDrain: number;
    readonly priming: number;
    readonly vents: number;
    readonly alarmTest: number;
  };
  readonly positions: Readonly<Record<ValveName, number>>;
  /** 0 seated to 1 open. */
  readonly clapper: number;
  readonly reliefOpen: boolean;
  readonly water_m3: { readonly chamber: number; readonly piping: number; readonly alarmLine: number };
  readonly totals_m3: {
    readonly supplied: number;
    readonly sprayed: number;
    readonly drained: number;
    readonly vented: number;
  };
  readonly contacts: Readonly<Record<ContactName, 'active' | 'restored'>>;
}

/** Looks at the plant. Looking changes nothing. */
export function observe(plant: Plant): PlantView {
  const state = stateAt(plant, plant.seen_s);
  const { parameters } = plant.setting;
  return {
    at_s: state.at_s,
    pressures_Pa: {
      supply: state.supply_Pa,
      inlet: state.inlet_Pa,
      outlet: state.outlet_Pa,
      chamber: state.chamber_Pa,
      alarmLine: state.line_Pa,
    },
    flows_m3_s: {
      supplyValve: state.drawn_m3_s,
      nozzles: state.nozzles_m3_s,
      outletDrains: state.outletDrains_m3_s,
      supplyDrain: state.supplyDrain_m3_s,
      priming: state.priming_m3_s,
      vents: state.vents_m3_s,
      alarmTest: state.test_m3_s,
    },
    positions: byName(valveNames, (name) => position(state, parameters, name)),
    clapper: state.clapper,
    reliefOpen: state.reliefOpen,
    water_m3: { chamber: state.chamberWater_m3, piping: state.pipingWater_m3, alarmLine: state.lineWater_m3 },
    totals_m3: {
      supplied: state.supplied_m3,
      sprayed: state.sprayed_m3,
      drained: state.drained_m3,
      vented: state.vented_m3,
    },
    contacts: byName(contactNames, (_name, index) => (state.active[index] === true ? 'active' : 'restored')),
  };
}

function byName<Name extends string, Value>(
  names: readonly Name[],
  value: (name: Name, index: number) => Value,
): Readonly<Record<Name, Value>> {
  return Object.fromEntries(names.map((name, index) => [name, value(name, index)])) as Record<Name, Value>;
}
