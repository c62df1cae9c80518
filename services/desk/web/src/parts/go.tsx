import type { MouseEvent, ReactNode } from 'react';
import type { Address } from '../address.ts';
import { goTo, pathOf } from '../address.ts';

interface Props {
  readonly to: Address;
  readonly children: ReactNode;
  readonly className?: string;
  readonly current?: 'page' | 'true' | undefined;
  readonly id?: string;
  readonly describedBy?: string;
}

/** A link within the page; a new tab opens the same picture. */
export function Go({ to, children, className, current, id, describedBy }: Props) {
  const follow = (event: MouseEvent) => {
    if (event.metaKey || event.ctrlKey || event.shiftKey || event.button !== 0) return;
    event.preventDefault();
    goTo(to);
  };
  return (
    <a
      href={pathOf(to)}
      onClick={follow}
      className={className}
      aria-current={current}
      id={id}
      aria-describedby={describedBy}
    >
      {children}
    </a>
  );
}
