import type { PanelSettings } from '../panel/panel-settings.ts';

/** How a panel is programmed or wired otherwise than its riser's profile says. */
export interface Programme {
  readonly supervisoryRestorals?: 'contact' | 'reset';
  /** What belongs at one point is wired to the other, and the other way round. */
  readonly swapped?: readonly [number, number];
}

/** The settings of a panel that is programmed so. */
export const programmed = (settings: PanelSettings, { supervisoryRestorals }: Programme): PanelSettings =>
  supervisoryRestorals === undefined ? settings : { ...settings, supervisoryRestorals };

/** The point at which something really is wired. */
export function wiredAt(point: number, { swapped }: Programme): number {
  if (swapped === undefined) return point;
  const [one, other] = swapped;
  if (point === one) return other;
  return point === other ? one : point;
}
