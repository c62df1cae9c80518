/** A bug: a claim the code relies on does not hold. It is never caught; the process ends and replay repairs. */
export class InvariantViolated extends Error {
  override readonly name = 'InvariantViolated';
  readonly code = 'invariant-violated';
}

/** States a claim that must hold, positively worded. Stays on in production. */
export function invariant(condition: unknown, claim: string): asserts condition {
  if (!condition) throw new InvariantViolated(claim);
}

/** Makes the compiler reject a `switch` that forgets a member of its union. */
export function unreachable(value: never): never {
  throw new InvariantViolated(`unreachable: ${JSON.stringify(value)}`);
}
