import type { Route } from '@tidemark/api';

/** A path of the route table as Nest writes it: `{account}` becomes `:account`. */
export const nestPath = ({ path }: Route): string => path.replace(/\{(\w+)\}/g, ':$1');
