/** Those who want to be told, in the order in which they asked. */
export class Listeners<Value> {
  readonly #listeners = new Set<(value: Value) => void>();

  /** Tells of each value from now on; the returned function ends that. */
  readonly add = (listener: (value: Value) => void): (() => void) => {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  };

  tell(value: Value): void {
    for (const listener of this.#listeners) listener(value);
  }
}
