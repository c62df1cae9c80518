declare const brand: unique symbol;

/** A base type that only its own parse function may mint, so that two ids of the same shape cannot be confused. */
export type Brand<Base, Name extends string> = Base & { readonly [brand]: Name };
