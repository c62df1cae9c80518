export type { RiserKey, Signal, SignalContent } from './signal.ts';
export { classOf, isInitiating, signalNames, vocabulary } from './vocabulary.ts';
export type { ActName, ContactName, ContactState, ReadingName, SignalClass, SignalName } from './vocabulary.ts';
