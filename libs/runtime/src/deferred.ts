/** A promise with its ends in hand. */
export interface Deferred<Value> {
  readonly promise: Promise<Value>;
  readonly resolve: (value: Value) => void;
  readonly reject: (reason: unknown) => void;
}

/** Makes one. (`Promise.withResolvers` needs Node 22.) */
export function deferred<Value>(): Deferred<Value> {
  let settle: Omit<Deferred<Value>, 'promise'> | undefined;
  const promise = new Promise<Value>((resolve, reject) => {
    settle = { resolve, reject };
  });
  // The executor of a promise runs at once.
  return { promise, ...(settle as unknown as Omit<Deferred<Value>, 'promise'>) };
}
