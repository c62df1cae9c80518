/** Adds to the end of a list that keeps its newest `most` members. */
export const pushed = <Item>(list: readonly Item[], item: Item, most: number): readonly Item[] =>
  (list.length < most ? list : list.slice(list.length - most + 1)).concat([item]);

/** Replaces the last member. */
export const withLast = <Item>(list: readonly Item[], change: (last: Item) => Item): readonly Item[] => {
  const last = list.at(-1);
  return last === undefined ? list : list.with(-1, change(last));
};
