import { passwordLongest_characters, passwordShortest_characters } from '@tidemark/api';
import { useId, useState } from 'react';

interface Props {
  readonly value: string;
  readonly onChange: (password: string) => void;
  readonly autoFocus?: boolean;
}

/** A field for a password to be. It may be looked at instead of typed twice, and says how long it must be. */
export function NewPassword({ value, onChange, autoFocus = false }: Props) {
  const rule = useId();
  const [isShown, setShown] = useState(false);
  return (
    <>
      <label>
        New password
        <input
          type={isShown ? 'text' : 'password'}
          autoFocus={autoFocus}
          autoComplete="new-password"
          aria-describedby={rule}
          minLength={passwordShortest_characters}
          maxLength={passwordLongest_characters}
          required
          value={value}
          onChange={(event) => {
            onChange(event.target.value);
          }}
        />
      </label>
      <p className="soft" id={rule}>
        At least {passwordShortest_characters} characters. A few words in a row are good; spaces may stand in it.
      </p>
      <label className="check">
        <input
          type="checkbox"
          checked={isShown}
          onChange={() => {
            setShown(!isShown);
          }}
        />
        show it
      </label>
    </>
  );
}
