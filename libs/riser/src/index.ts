export { decodeRiserEvent, encodeRiserEvent } from './codec.ts';
export type { AlertTarget, EventReference, RiserCommand, RiserEvent, StationRecord } from './event.ts';
export { standingRelease } from './occasions.ts';
export { inferredRelease, phaseOf, releasingAlarm, standIn } from './phase.ts';
export type { Phase } from '@tidemark/words';
export type {
  Action,
  Closing,
  Episode,
  Flow,
  Impairment,
  Mark,
  Picture,
  PointState,
  Reading,
  Release,
  Reset,
  Stranger,
  TestWindow,
} from './picture.ts';
export { activePoint, activePoints, firstActive, initiatingActive } from './points.ts';
export { profileFile } from './profile-schema.ts';
export { hasPoint, labelOf, parseProfile } from './profile.ts';
export type { Profile, ProfilePoint } from './profile.ts';
export { receivedSignal } from './received-signal.ts';
export { latchedAlarm } from './reset.ts';
export { evolve, initialRiser } from './riser.ts';
export type { RiserState } from './riser.ts';
export { inService, nothingDeparts, openImpairment, openTest } from './service.ts';
export type { MissingRange, SourceClock } from './source-clock.ts';
export { runOn } from './tell.ts';
export { describeMistake, mistakeAt, readYaml } from './yaml-reader.ts';
export type { FileMistake } from './yaml-reader.ts';
