import type { RiserKey } from '@tidemark/api';
import { Go } from '../parts/go.tsx';

/** Where the raw record of a riser is read. */
export const EventsLink = ({ riserKey }: { readonly riserKey: RiserKey }) => (
  <Go to={{ screen: 'events', key: riserKey }}>All recorded events</Go>
);
