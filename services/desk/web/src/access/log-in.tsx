import { useMutation, useQuery } from '@tanstack/react-query';
import type { Entry } from '@tidemark/api';
import { useEffect, useRef } from 'react';
import type { SyntheticEvent } from 'react';
import { Failure } from '../parts/failure.tsx';
import { ask } from '../server.ts';
import { DemoBanner } from './demo-banner.tsx';
import type { WhoStore } from './who-store.ts';

interface Props {
  readonly store: WhoStore;
  readonly hasEnded: boolean;
}

/** Name and password. On the demo, who may try it stands beside it. */
export function LogIn({ store, hasEnded }: Props) {
  const entry = useQuery({ queryKey: ['entry'], queryFn: ({ signal }) => ask('getEntry', { signal }) });
  const name = useRef<HTMLInputElement>(null);
  const login = useMutation({
    mutationFn: (given: { readonly name: string; readonly password: string }) =>
      store.logIn(given.name, given.password),
  });
  useEffect(() => {
    document.title = 'Log in, Tidemark';
    name.current?.focus();
  }, []);
  const submit = (event: SyntheticEvent<HTMLFormElement>) => {
    event.preventDefault();
    const form = new FormData(event.currentTarget);
    login.mutate({ name: textOf(form, 'name'), password: textOf(form, 'password') });
  };
  return (
    <>
      {entry.data?.site === 'demo' && <DemoBanner />}
      <main className="entrance">
        <h1>Log in to Tidemark</h1>
        {hasEnded && <p role="status">Your session has ended. What you looked at is still in the address.</p>}
        <form onSubmit={submit}>
          <label>
            Name
            <input ref={name} name="name" autoComplete="username" autoCapitalize="none" spellCheck={false} required />
          </label>
          <label>
            Password
            <input name="password" type="password" autoComplete="current-password" required />
          </label>
          <button type="submit" className="primary" disabled={login.isPending}>
            {login.isPending ? 'Logging in' : 'Log in'}
          </button>
          {login.error !== null && <Failure of={login.error} />}
        </form>
        <DemoUsers
          users={entry.data?.demoUsers ?? []}
          isBusy={login.isPending}
          onChoose={(user) => {
            login.mutate(user);
          }}
        />
      </main>
    </>
  );
}

const textOf = (form: FormData, field: string): string => {
  const value = form.get(field);
  return typeof value === 'string' ? value : '';
};

function DemoUsers({
  users,
  isBusy,
  onChoose,
}: {
  readonly users: Entry['demoUsers'];
  readonly isBusy: boolean;
  readonly onChoose: (user: Entry['demoUsers'][number]) => void;
}) {
  if (users.length === 0) return null;
  return (
    <section className="demo-users" aria-label="Users of the demo">
      <h2>Who may try the demo</h2>
      <ul>
        {users.map((user) => (
          <li key={user.name}>
            <p>
              <strong>{user.name}</strong> <code>{user.password}</code>
            </p>
            <p className="soft">{user.may}</p>
            <button type="button" className="small" disabled={isBusy} onClick={() => onChoose(user)}>
              Log in as {user.name}
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}
