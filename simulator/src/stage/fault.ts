import type { StoryFault } from './story.ts';
import type { World } from './world.ts';

/** Ends a fault at a moment. */
export type EndFault = (at_s: number) => void;

/**
 * Lets a fault begin at a moment; the answer ends it. What somebody has turned stays as it is: nobody turns it back. A
 * panel that is programmed otherwise is so from the beginning, and people make their mistakes in their own steps; both
 * are only noted here.
 */
export function begin({ cause, injected, row }: StoryFault, at_s: number, world: World): EndFault {
  const id = `${cause} ${row} ${String(at_s)}`;
  switch (injected.where) {
    case 'plant': {
      const ids = injected.parts.map((_part, index) => `${id} ${String(index)}`);
      for (const [index, { after_s, lasts_s, patch }] of injected.parts.entries()) {
        const from_s = at_s + after_s;
        const until = lasts_s === undefined ? {} : { until_s: from_s + lasts_s };
        world.turn({ type: 'fault', fault: { id: ids[index] ?? id, patch, from_s, ...until } }, at_s);
      }
      for (const { to, valve } of injected.moves) world.turn({ type: 'move', valve, to }, at_s);
      return (ended_s) => ids.forEach((part) => world.turn({ type: 'mend', id: part }, ended_s));
    }
    case 'panel':
      return atPanel(injected, at_s, world);
    case 'link': {
      const until = injected.lasts_s === undefined ? {} : { until_s: at_s + injected.lasts_s };
      world.trouble({ ...injected.trouble, id, from_s: at_s, ...until });
      return (ended_s) => world.mend(id, ended_s);
    }
    case 'crew':
    case 'profile':
      return () => undefined;
  }
}

function atPanel(
  injected: Extract<StoryFault['injected'], { readonly where: 'panel' }>,
  at_s: number,
  world: World,
): EndFault {
  for (const point of injected.dead) world.deadPoints.add(point);
  for (const input of injected.begin) world.operate(input, at_s);
  return (ended_s) => {
    for (const point of injected.dead) world.deadPoints.delete(point);
    for (const input of injected.end) world.operate(input, ended_s);
  };
}
