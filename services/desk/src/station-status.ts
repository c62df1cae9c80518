import type { DeskPorts } from './ports.ts';

/** Whether every part is up and the views follow the journal. */
export const isWell = ({ views, parts }: Pick<DeskPorts, 'views' | 'parts'>): boolean =>
  views.following() === 'live' && parts().every(({ state }) => state === 'up');
