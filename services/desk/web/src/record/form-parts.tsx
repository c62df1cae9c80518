import type { KeyboardEvent, ReactNode, SyntheticEvent } from 'react';
import { useEffect, useRef } from 'react';
import { useWho } from '../access/use-who.ts';
import { Failure } from '../parts/failure.tsx';
import type { useCommand } from '../use-command.ts';

interface Props {
  readonly title: string;
  readonly submit: string;
  readonly giving: Pick<ReturnType<typeof useCommand>, 'isBusy' | 'isCut' | 'failure'>;
  readonly isReady?: boolean;
  readonly onSubmit: () => void;
  readonly onLeave: () => void;
  readonly children: ReactNode;
}

/** A form of the record: what is recorded, as whom, and a way out that records nothing. The first field has the focus. */
export function RecordFormFrame({ title, submit, giving, isReady = true, onSubmit, onLeave, children }: Props) {
  const { name } = useWho().who;
  const frame = useRef<HTMLFormElement>(null);
  useEffect(() => {
    frame.current?.querySelector<HTMLElement>('input, select, textarea')?.focus();
  }, []);
  const send = (event: SyntheticEvent) => {
    event.preventDefault();
    onSubmit();
  };
  const leave = (event: KeyboardEvent) => {
    if (event.key !== 'Escape') return;
    // Outside a form the same key leaves the riser.
    event.stopPropagation();
    onLeave();
  };
  return (
    <form className="declare record" aria-label={title} onSubmit={send} onKeyDown={leave} ref={frame}>
      <h2>{title}</h2>
      {children}
      <p className="soft">Recorded as {name}, with the time; it cannot be taken back.</p>
      {giving.failure !== null && <Failure of={giving.failure} />}
      <div className="buttons">
        <button type="submit" className="primary" disabled={giving.isBusy || !isReady}>
          {giving.isBusy && !giving.isCut ? 'Recording' : submit}
        </button>
        <button type="button" onClick={onLeave}>
          Leave it
        </button>
      </div>
    </form>
  );
}

interface ChoiceProps<Value extends string> {
  readonly label: string;
  readonly value: Value;
  readonly words: Readonly<Record<Value, string>>;
  readonly onChoose: (value: Value) => void;
}

/** One of a few, by name. */
export function Choice<Value extends string>({ label, value, words, onChoose }: ChoiceProps<Value>) {
  return (
    <label className="field">
      {label}
      <select value={value} onChange={(event) => onChoose(event.target.value as Value)}>
        {Object.entries<string>(words).map(([each, said]) => (
          <option key={each} value={each}>
            {said}
          </option>
        ))}
      </select>
    </label>
  );
}

interface TextProps {
  readonly label: string;
  readonly value: string;
  readonly limit: number;
  readonly isRequired?: boolean;
  readonly onType: (text: string) => void;
}

/** A line of text. */
export const Line = ({ label, value, limit, isRequired = false, onType }: TextProps) => (
  <label className="field">
    {label}
    <input value={value} maxLength={limit} required={isRequired} onChange={(event) => onType(event.target.value)} />
  </label>
);

/** What was typed, if anything was: the record holds no empty words. */
export const typedOrNothing = <Name extends string>(name: Name, text: string): { readonly [N in Name]?: string } =>
  text.trim() === '' ? {} : ({ [name]: text.trim() } as { readonly [N in Name]: string });
