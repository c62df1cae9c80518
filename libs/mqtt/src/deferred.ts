/** A promise with its two ends in the open (`Promise.withResolvers` of newer runtimes). */
export interface Deferred<Value> {
  readonly promise: Promise<Value>;
  readonly resolve: (value: Value) => void;
  readonly reject: (reason: Error) => void;
}

/** A rejection that nobody waits for is no fault of the process. */
export function deferred<Value>(): Deferred<Value> {
  let ends: Omit<Deferred<Value>, 'promise'> | undefined;
  const promise = new Promise<Value>((resolve, reject) => {
    ends = { resolve, reject };
  });
  promise.catch(() => undefined);
  return { promise, resolve: (value) => ends?.resolve(value), reject: (reason) => ends?.reject(reason) };
}
