import { useEffect, useState } from 'react';
import type { Address } from '../address.ts';
import { toggleUnits } from '../units.ts';
import { leaveRiser } from '../watch/queue.tsx';

const keys: readonly (readonly [string, string])[] = [
  ['↑ ↓', 'walk the queue'],
  ['Enter', 'open what has the focus'],
  ['Escape', 'back to the list'],
  ['A', 'acknowledge'],
  ['C', 'record a call'],
  ['D', 'record a dispatch'],
  ['N', 'note'],
  ['T', 'declare a test or an impairment'],
  ['U', 'the other units'],
  ['?', 'this list'],
];

const storageKey = 'tidemark.keys';

/** Single letters act only outside fields, and may be switched off (WCAG 2.2, 2.1.4). */
export function Keys({ address }: { readonly address: Address }) {
  const [isShown, setShown] = useState(false);
  const [isOn, setOn] = useState(() => localStorage.getItem(storageKey) !== 'off');
  const opened = address.screen === 'watch' ? address.key : undefined;
  useEffect(() => {
    const press = (event: KeyboardEvent) => {
      if (event.ctrlKey || event.metaKey || event.altKey || isField(event.target)) return;
      if (event.key === 'Escape') {
        if (isShown) setShown(false);
        else if (opened !== undefined) leaveRiser(opened);
      } else if (isOn) letter(event.key, () => setShown(!isShown));
    };
    addEventListener('keydown', press);
    return () => removeEventListener('keydown', press);
  }, [isShown, isOn, opened]);
  const toggle = () => {
    localStorage.setItem(storageKey, isOn ? 'off' : 'on');
    setOn(!isOn);
  };
  return (
    <div className="keys">
      <button type="button" className="small" aria-expanded={isShown} onClick={() => setShown(!isShown)}>
        Keys
      </button>
      {isShown && (
        <dialog open aria-label="Keys">
          <dl>
            {keys.map(([key, does]) => (
              <div key={key}>
                <dt>
                  <kbd>{key}</kbd>
                </dt>
                <dd>{does}</dd>
              </div>
            ))}
          </dl>
          <label>
            <input type="checkbox" checked={isOn} onChange={toggle} /> letters act
          </label>
        </dialog>
      )}
    </div>
  );
}

function letter(key: string, help: () => void): void {
  if (key === '?') help();
  else if (key.toLowerCase() === 'u') toggleUnits();
  else if (/^[a-z]$/i.test(key))
    document.querySelector<HTMLButtonElement>(`button[data-key="${key.toLowerCase()}"]`)?.click();
  else if (key === 'ArrowDown' && document.activeElement === document.body)
    document.querySelector<HTMLAnchorElement>('.queue a')?.focus();
}

const isField = (target: EventTarget | null): boolean =>
  target instanceof HTMLInputElement || target instanceof HTMLTextAreaElement || target instanceof HTMLSelectElement;
