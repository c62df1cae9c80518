import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import type { SyntheticEvent } from 'react';
import { Failure } from '../parts/failure.tsx';
import { ask } from '../server.ts';
import { NewPassword } from './new-password.tsx';
import { accountsWords, roleWords, useWho } from './use-who.ts';

/** What whoever is logged in may do, and a new password. */
export function MeScreen() {
  const { who } = useWho();
  return (
    <main className="records">
      <h1>{who.name}</h1>
      <p className="soft">This name stands beside everything you do here.</p>
      {who.grants.length === 0 ? (
        <p>You have no role yet, so there is nothing to see. Ask an administrator.</p>
      ) : (
        <ul className="grants">
          {who.grants.map(({ role, accounts }) => (
            <li key={role}>
              {roleWords[role]}: {accountsWords(accounts)}
            </li>
          ))}
        </ul>
      )}
      <h2>Another password</h2>
      <ChangePassword />
    </main>
  );
}

function ChangePassword() {
  const [current, setCurrent] = useState('');
  const [password, setPassword] = useState('');
  const change = useMutation({
    mutationFn: () => ask('changePassword', { body: { current, password } }),
    onSuccess: () => {
      setCurrent('');
      setPassword('');
    },
  });
  const submit = (event: SyntheticEvent) => {
    event.preventDefault();
    change.mutate();
  };
  return (
    <form className="stacked" onSubmit={submit}>
      <label>
        Password so far
        <input
          type="password"
          autoComplete="current-password"
          required
          value={current}
          onChange={(event) => {
            setCurrent(event.target.value);
          }}
        />
      </label>
      <NewPassword value={password} onChange={setPassword} />
      <button type="submit" disabled={change.isPending}>
        Change the password
      </button>
      {change.data !== undefined && <p role="status">The new password holds. You are logged out everywhere else.</p>}
      {change.error !== null && <Failure of={change.error} />}
    </form>
  );
}
