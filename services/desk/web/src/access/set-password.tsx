import { useMutation } from '@tanstack/react-query';
import { useEffect, useState } from 'react';
import type { SyntheticEvent } from 'react';
import { Failure } from '../parts/failure.tsx';
import { ask } from '../server.ts';
import { NewPassword } from './new-password.tsx';

/** Sets a password by a one-time link. Its secret is taken out of the address at once, so that no history keeps it. */
export function SetPassword({ onDone }: { readonly onDone: () => void }) {
  const [token] = useState(() => location.hash.slice(1));
  const [password, setPassword] = useState('');
  const set = useMutation({ mutationFn: () => ask('setPassword', { body: { token, password } }) });
  useEffect(() => {
    history.replaceState(null, '', location.pathname);
    document.title = 'Set a password, Tidemark';
  }, []);
  const submit = (event: SyntheticEvent) => {
    event.preventDefault();
    set.mutate();
  };
  if (set.data !== undefined)
    return (
      <main className="entrance">
        <h1>The password is set</h1>
        <p role="status">
          You log in as <strong>{set.data.name}</strong>. The link does no more.
        </p>
        <button type="button" className="primary" onClick={onDone} autoFocus>
          To the log-in
        </button>
      </main>
    );
  return (
    <main className="entrance">
      <h1>Choose a password</h1>
      {token === '' ? (
        <p>This address is missing its secret. Open the link as you were given it, or ask for a new one.</p>
      ) : (
        <form onSubmit={submit}>
          <NewPassword value={password} onChange={setPassword} autoFocus />
          <button type="submit" className="primary" disabled={set.isPending}>
            {set.isPending ? 'Setting it' : 'Set the password'}
          </button>
          {set.error !== null && <Failure of={set.error} />}
        </form>
      )}
    </main>
  );
}
