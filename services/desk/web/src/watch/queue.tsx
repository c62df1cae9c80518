import type { RiserSummary } from '@tidemark/api';
import { useRef, useState } from 'react';
import type { KeyboardEvent } from 'react';
import { goTo, keyText } from '../address.ts';
import type { RiserKey } from '@tidemark/api';
import { Go } from '../parts/go.tsx';
import { WaterlineFigure } from '../parts/waterline-figure.tsx';
import { lasting } from '../time.ts';
import { phaseWords } from '../words/riser-words.ts';
import { QueueActions } from './queue-actions.tsx';
import { UrgencyBlock } from './urgency-block.tsx';

interface Props {
  readonly risers: readonly RiserSummary[];
  readonly opened: RiserKey | undefined;
  readonly now_ms: number;
}

/** What needs a person, soonest first. While the pointer or the focus is in it, nothing moves away under the hand. */
export function Queue({ risers, opened, now_ms }: Props) {
  const [held, setHeld] = useState(false);
  const order = useHeldOrder(risers, held);
  const hold = () => {
    setHeld(true);
  };
  const letGo = () => {
    setHeld(false);
  };
  return (
    <ol className="queue" onPointerEnter={hold} onPointerLeave={letGo} onFocus={hold} onBlur={letGo} onKeyDown={walk}>
      {order.map((riser) => (
        <QueueItem
          key={keyText(riser)}
          riser={riser}
          isOpen={opened !== undefined && keyText(opened) === keyText(riser)}
          now_ms={now_ms}
        />
      ))}
    </ol>
  );
}

function useHeldOrder(risers: readonly RiserSummary[], held: boolean): readonly RiserSummary[] {
  const order = useRef<readonly string[]>([]);
  const fresh = risers.map(keyText);
  const known = order.current.filter((key) => fresh.includes(key));
  order.current = held ? [...known, ...fresh.filter((key) => !known.includes(key))] : fresh;
  const byKey = new Map(risers.map((riser) => [keyText(riser), riser]));
  return order.current.flatMap((key) => byKey.get(key) ?? []);
}

/** Up and down walk the queue; each item is one stop. */
function walk(event: KeyboardEvent<HTMLOListElement>): void {
  const step = event.key === 'ArrowDown' ? 1 : event.key === 'ArrowUp' ? -1 : 0;
  if (step === 0) return;
  const links = [...event.currentTarget.querySelectorAll<HTMLAnchorElement>('.item-title a')];
  const at = links.indexOf(document.activeElement as HTMLAnchorElement);
  const next = links[at + step];
  if (next === undefined) return;
  event.preventDefault();
  next.focus();
}

/** The id of an item's link, where the focus returns to. */
export const queueItemId = (key: RiserKey): string => `queue-${keyText(key)}`;

function QueueItem({
  riser,
  isOpen,
  now_ms,
}: {
  readonly riser: RiserSummary;
  readonly isOpen: boolean;
  readonly now_ms: number;
}) {
  const { account, riser: name, site, phase, phaseSince, headline } = riser;
  return (
    <li className={`queue-item ${riser.urgency}${isOpen ? ' open' : ''}`}>
      <WaterlineFigure waterline={riser.waterline} />
      <div>
        <p className="item-title">
          <Go
            to={{ screen: 'watch', key: { account, riser: name } }}
            id={queueItemId(riser)}
            current={isOpen ? 'true' : undefined}
          >
            {name}, {site.name}
          </Go>
        </p>
        <UrgencyBlock urgency={riser.urgency} deadline={riser.deadline} now_ms={now_ms} />
        <p className="sentence">{headline}</p>
        <p className="soft">
          {phaseWords[phase]} {phaseSince === undefined ? '' : lasting(phaseSince, now_ms)}
        </p>
        <QueueActions riser={riser} now_ms={now_ms} />
      </div>
    </li>
  );
}

/** Goes back to the list, and puts the focus where it was. */
export function leaveRiser(key: RiserKey): void {
  goTo({ screen: 'watch', key: undefined });
  requestAnimationFrame(() => document.getElementById(queueItemId(key))?.focus());
}
