export { bleedDown_s, heldPressure_Pa, lineIntake_m3, polytropicBleedDown_s } from './alarm-line.ts';
export type { AirHistory, AlarmLine, PressureFall } from './alarm-line.ts';
export { butterflyLoss, butterflyLossAt } from './butterfly.ts';
export { defaultFigures, figuresWith } from './default-figures.ts';
export { drainTime_s } from './drain.ts';
export type { DrainedColumn } from './drain.ts';
export type { FigureChanges, OverheadPiping, PressureSwitch, RiserFigures, SupplySide } from './figures.ts';
export { hammer_Pa, waveSpeed_m_s } from './hammer.ts';
export type { PipeWall } from './hammer.ts';
export {
  boreArea_m2,
  constantFlow_m3_s,
  constantPressure_Pa,
  minorLossConstant_m3_s_sqrtPa,
  orificeConstant_m3_s_sqrtPa,
  orificeFlow_m3_s,
} from './orifice.ts';
export type { Orifice } from './orifice.ts';
export {
  epanetFriction_Pa,
  fireFriction_Pa,
  frictionResistance,
  hazenWilliamsExponent,
  minorLoss_Pa,
  velocity_m_s,
} from './pipe-friction.ts';
export type { HazenWilliamsForm, Pipe } from './pipe-friction.ts';
export { branchNozzles, branchRuns, pipingVolume_m3, riserVolume_m3 } from './piping.ts';
export type { BranchRun } from './piping.ts';
export {
  controlArea_m2,
  decompression_m3,
  leakingChamber_Pa,
  passThroughOpening_s,
  pushShut_s,
  refill_s,
  sweptVolume_m3,
  tripPressure_Pa,
} from './prime-chamber.ts';
export type { Clapper, PrimingLine, Refill } from './prime-chamber.ts';
export { outletCurve, riserTree, steadyFlow } from './riser-tree.ts';
export type { OutletCurve, SteadyFlow } from './riser-tree.ts';
export { bracketedRoot } from './root.ts';
export type { Bracket } from './root.ts';
export { supplyFlow_m3_s, supplyPressure_Pa } from './supply-curve.ts';
export type { SupplyCurve } from './supply-curve.ts';
export { treeFromEnd, treeRootFromEnd } from './tree.ts';
export type { NodeState, TreeNode, TreePipe } from './tree.ts';
export { atmosphere_Pa, columnHeight_m, columnPressure_Pa, gravity_m_s2, waterDensity_kg_m3 } from './water.ts';
export { predictWindows, windowNames } from './windows.ts';
export type { Window, WindowName, Windows } from './windows.ts';
