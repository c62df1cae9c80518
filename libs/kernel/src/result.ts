/** The outcome of something that may be refused: a rejection is a value, never an exception. */
export type Result<Value, Failure> =
  { readonly ok: true; readonly value: Value } | { readonly ok: false; readonly failure: Failure };

/** Wraps what was asked for. */
export const ok = <const Value>(value: Value): { readonly ok: true; readonly value: Value } => ({ ok: true, value });

/** Wraps why it was refused. */
export const fail = <const Failure>(failure: Failure): { readonly ok: false; readonly failure: Failure } => ({
  ok: false,
  failure,
});
