import { useMutation, useQueryClient } from '@tanstack/react-query';
import type { RiserCommand, RiserKey } from '@tidemark/api';
import { useMay } from './access/use-who.ts';
import { keyText } from './address.ts';
import { useLive } from './live/use-live.ts';
import { give } from './server.ts';

/** Gives commands for one riser; the station takes whoever is logged in for their author. `may` says which are allowed. */
export function useCommand(key: RiserKey) {
  const cache = useQueryClient();
  const mutation = useMutation({
    mutationFn: (given: { readonly id: string; readonly command: RiserCommand }) => give(key, given),
    // The id was chosen before the first try, so trying again records nothing twice.
    retry: 2,
    onSettled: () => cache.invalidateQueries({ queryKey: ['riser', keyText(key)] }),
  });
  const command = (given: RiserCommand): void => {
    mutation.mutate({ id: crypto.randomUUID(), command: given });
  };
  const isCut = useLive().connection === 'lost';
  const may = useMay(key.account);
  return { command, may, isBusy: mutation.isPending || isCut, isCut, failure: mutation.error };
}
