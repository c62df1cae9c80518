/** Waits until the condition gives a value, looking again every few milliseconds; fails with the claim when time is up. */
export async function until<Value>(
  claim: string,
  condition: () => Value | undefined | false | Promise<Value | undefined | false>,
  within_ms = 20_000,
): Promise<Value> {
  const deadline = performance.now() + within_ms;
  for (;;) {
    const value = await condition();
    if (value !== undefined && value !== false) return value;
    if (performance.now() > deadline) throw new Error(`not within ${String(within_ms)} ms: ${claim}`);
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
}
