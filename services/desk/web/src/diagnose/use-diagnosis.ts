import { useQuery } from '@tanstack/react-query';
import type { RiserKey } from '@tidemark/api';
import { keyText } from '../address.ts';
import { ask } from '../server.ts';

/** The reasoning about a riser, now or as it was. Whatever changes the riser asks for it anew. */
export const useDiagnosis = (key: RiserKey, asOf: string | undefined) =>
  useQuery({
    queryKey: ['riser', keyText(key), 'diagnosis', asOf ?? 'now'],
    queryFn: ({ signal }) => ask('getDiagnosis', { params: key, query: { asOf }, signal }),
    staleTime: asOf === undefined ? 0 : Infinity,
    placeholderData: (last) => last,
  });
