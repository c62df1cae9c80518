import { useMutation, useQueryClient } from '@tanstack/react-query';
import type { RiserCommand, RiserKey } from '@tidemark/api';
import { useMay } from './access/use-who.ts';
import { keyText } from './address.ts';
import { useLive } from './live/use-live.ts';
import { give } from './server.ts';

/**
 * Gives commands for one riser; the station takes whoever is logged in for their author. `may` says which are allowed.
 * Several at once are given one after the other, and stop at the first that is refused.
 */
export function useCommand(key: RiserKey) {
  const cache = useQueryClient();
  const mutation = useMutation({
    mutationFn: async (given: readonly { readonly id: string; readonly command: RiserCommand }[]) => {
      for (const each of given) await give(key, each);
    },
    // Each id was chosen before the first try, so trying again records nothing twice.
    retry: 2,
    onSettled: () => cache.invalidateQueries({ queryKey: ['riser', keyText(key)] }),
  });
  const commands = (given: readonly RiserCommand[], onDone?: () => void): void => {
    mutation.mutate(
      given.map((each) => ({ id: crypto.randomUUID(), command: each })),
      { onSuccess: () => onDone?.() },
    );
  };
  const command = (given: RiserCommand, onDone?: () => void): void => {
    commands([given], onDone);
  };
  const isCut = useLive().connection === 'lost';
  const may = useMay(key.account);
  return { command, commands, may, isBusy: mutation.isPending || isCut, isCut, failure: mutation.error };
}
