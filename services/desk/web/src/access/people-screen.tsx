import { useMutation, useQuery, useQueryClient } from '@tanstack/react-query';
import type { Invitation, User } from '@tidemark/api';
import { useState } from 'react';
import { Failure } from '../parts/failure.tsx';
import { Moment } from '../parts/moment.tsx';
import { ask } from '../server.ts';
import { GrantsForm } from './grants-form.tsx';
import { accountsWords, roleWords, useWho } from './use-who.ts';

/** The people an administrator looks after: who they are, what they may, who changed that. */
export function PeopleScreen({ zone }: { readonly zone: string }) {
  const { data, error } = useQuery({ queryKey: ['people'], queryFn: ({ signal }) => ask('listUsers', { signal }) });
  const [invited, setInvited] = useState<Invitation>();
  return (
    <main className="records people">
      <h1>People</h1>
      <p className="soft">
        Those whose every role lies at sites you look after. What you change holds at once, also for whoever is logged
        in.
      </p>
      {error !== null && <Failure of={error} />}
      {invited !== undefined && <LinkOut invitation={invited} />}
      <ul>
        {(data?.users ?? []).map((user) => (
          <Person key={user.name} user={user} zone={zone} onLink={setInvited} />
        ))}
      </ul>
      <h2>Add a person</h2>
      <Invite onInvited={setInvited} />
    </main>
  );
}

/** The link is told this once: whoever has it may set the password. */
function LinkOut({ invitation: { user, path } }: { readonly invitation: Invitation }) {
  return (
    <div className="band link-out" role="status">
      <p>
        Hand this link to <strong>{user.name}</strong> in person or by a way you trust. It sets the password once,
        within a day, and is not shown again.
      </p>
      <code>{`${location.origin}${path}`}</code>
    </div>
  );
}

const stateWords = { invited: 'no password yet', active: 'may log in', disabled: 'shut out' } as const;

interface PersonProps {
  readonly user: User;
  readonly zone: string;
  readonly onLink: (invitation: Invitation) => void;
}

function Person({ user, zone, onLink }: PersonProps) {
  const { who } = useWho();
  const [isChanging, setChanging] = useState(false);
  const { link, change } = usePerson(user.name, onLink);
  const isDisabled = user.state === 'disabled';
  const failure = link.error ?? change.error;
  return (
    <li>
      <h2>{user.name}</h2>
      <p>
        {user.grants.length === 0
          ? 'no role'
          : user.grants.map(({ role, accounts }) => `${roleWords[role]}: ${accountsWords(accounts)}`).join('; ')}
      </p>
      <p className="soft">
        {stateWords[user.state]}
        {user.linkExpiresAt !== undefined && ', a link is out'}; changed by {user.changedBy},{' '}
        <Moment at={user.changedAt} zone={zone} now={Date.now()} />
      </p>
      <div className="buttons">
        <button type="button" className="small" aria-expanded={isChanging} onClick={() => setChanging(!isChanging)}>
          Roles<span className="only-heard"> of {user.name}</span>
        </button>
        {!isDisabled && (
          <button type="button" className="small" disabled={link.isPending} onClick={() => link.mutate()}>
            New link<span className="only-heard"> for {user.name}</span>
          </button>
        )}
        {user.name !== who.name && (
          <button
            type="button"
            className="small"
            disabled={change.isPending}
            onClick={() => change.mutate({ disabled: !isDisabled })}
          >
            {isDisabled ? 'Let in again' : 'Shut out'}
            <span className="only-heard"> {user.name}</span>
          </button>
        )}
      </div>
      {isChanging && (
        <GrantsForm
          grants={user.grants}
          action="Give these roles"
          onGive={(grants) => {
            change.mutate({ grants });
            setChanging(false);
          }}
        />
      )}
      {failure !== null && <Failure of={failure} />}
    </li>
  );
}

function usePerson(name: string, onLink: (invitation: Invitation) => void) {
  const cache = useQueryClient();
  const onSettled = () => cache.invalidateQueries({ queryKey: ['people'] });
  const link = useMutation({
    mutationFn: () => ask('renewLink', { params: { user: name }, body: {} }),
    onSuccess: onLink,
    onSettled,
  });
  const change = useMutation({
    mutationFn: (wish: { readonly grants?: User['grants']; readonly disabled?: boolean }) =>
      ask('changeUser', { params: { user: name }, body: wish }),
    onSettled,
  });
  return { link, change };
}

function Invite({ onInvited }: { readonly onInvited: (invitation: Invitation) => void }) {
  const cache = useQueryClient();
  const [name, setName] = useState('');
  const [added, setAdded] = useState(0);
  const invite = useMutation({
    mutationFn: (grants: User['grants']) => ask('inviteUser', { body: { name, grants } }),
    onSuccess: (invitation) => {
      onInvited(invitation);
      setName('');
      setAdded((count) => count + 1);
    },
    onSettled: () => cache.invalidateQueries({ queryKey: ['people'] }),
  });
  return (
    <div className="stacked">
      <label>
        Name
        <input
          value={name}
          autoCapitalize="none"
          autoComplete="off"
          placeholder="m.berg"
          onChange={(event) => {
            setName(event.target.value.toLowerCase());
          }}
        />
      </label>
      <GrantsForm
        key={added}
        grants={[]}
        action="Add, and make the link"
        isDisabled={name === ''}
        onGive={(grants) => {
          invite.mutate(grants);
        }}
      />
      {invite.error !== null && <Failure of={invite.error} />}
    </div>
  );
}
