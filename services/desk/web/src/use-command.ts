import { useMutation, useQueryClient } from '@tanstack/react-query';
import type { RiserCommand, RiserKey } from '@tidemark/api';
import { keyText } from './address.ts';
import { useAuthor } from './author.ts';
import { useLive } from './live/use-live.ts';
import { give } from './server.ts';

/** The id of the field that asks for the name. */
export const authorFieldId = 'author';

/** Gives commands for one riser in the name of whoever sits here; without a name it asks for one instead. */
export function useCommand(key: RiserKey) {
  const by = useAuthor().trim();
  const cache = useQueryClient();
  const mutation = useMutation({
    mutationFn: ({ id, command }: { readonly id: string; readonly command: RiserCommand }) =>
      give(key, { id, by, command }),
    // The id was chosen before the first try, so trying again records nothing twice.
    retry: 2,
    onSettled: () => cache.invalidateQueries({ queryKey: ['riser', keyText(key)] }),
  });
  const command = (given: RiserCommand): void => {
    if (by === '') document.getElementById(authorFieldId)?.focus();
    else mutation.mutate({ id: crypto.randomUUID(), command: given });
  };
  const isCut = useLive().connection === 'lost';
  return { command, needsName: by === '', isBusy: mutation.isPending || isCut, isCut, failure: mutation.error };
}
