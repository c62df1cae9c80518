import type { Grant } from '@tidemark/api';
import { roles } from '@tidemark/api';
import { useId, useState } from 'react';
import type { SyntheticEvent } from 'react';
import { roleWords } from './use-who.ts';

interface Props {
  readonly grants: readonly Grant[];
  readonly action: string;
  readonly isDisabled?: boolean;
  readonly onGive: (grants: Grant[]) => void;
}

/** Which roles, and where: an empty field is no role, `all` is every site, otherwise accounts parted by commas. */
export function GrantsForm({ grants, action, isDisabled = false, onGive }: Props) {
  const note = useId();
  const [texts, setTexts] = useState(() => roles.map((role) => textOf(grants.find((each) => each.role === role))));
  const given = roles.flatMap((role, index) => grantOf(role, texts[index] ?? ''));
  const submit = (event: SyntheticEvent) => {
    event.preventDefault();
    onGive(given);
  };
  return (
    <form className="stacked" onSubmit={submit}>
      {roles.map((role, index) => (
        <label key={role}>
          {roleWords[role]} at
          <input
            value={texts[index]}
            aria-describedby={note}
            autoCapitalize="none"
            placeholder="no role"
            onChange={(event) => {
              setTexts(texts.with(index, event.target.value));
            }}
          />
        </label>
      ))}
      <p className="soft" id={note}>
        The accounts, parted by commas, or “all”, which counts for sites to come, too.
      </p>
      <button type="submit" disabled={isDisabled || given.length === 0}>
        {action}
      </button>
    </form>
  );
}

const textOf = (grant: Grant | undefined): string =>
  grant === undefined ? '' : grant.accounts === 'all' ? 'all' : grant.accounts.join(', ');

function grantOf(role: Grant['role'], text: string): Grant[] {
  const names = text.split(',').map((name) => name.trim().toLowerCase());
  const accounts = names.filter((name) => name !== '');
  if (accounts.length === 0) return [];
  return [{ role, accounts: accounts.includes('all') ? 'all' : accounts }];
}
