import type { Water, Waterline } from '@tidemark/api';
import type { HiddenElement, RiserView } from '@tidemark/reasoning';

/** Below this certainty a position is drawn as unseen. A choice of this project: better than even, by a margin. */
const shownFrom = 0.6;

/** The riser as one upright figure. What no signal and no inference covers is `unseen`, never guessed. */
export function waterlineOf(view: RiserView): Waterline {
  if (view.phase === 'unknown' || view.link.state === 'stale' || view.link.state === 'down') return unseen;
  const seat = seatOf(view);
  return { supply: supplyOf(view), seat, outlet: outletOf(view, seat), piping: pipingOf(view, seat) };
}

const unseen: Waterline = { supply: 'unseen', seat: 'unseen', outlet: 'unseen', piping: 'unseen' };

function believed(view: RiserView, element: HiddenElement): string | undefined {
  const found = view.positions.find((each) => each.element === element);
  return found === undefined || found.certainty < shownFrom ? undefined : found.position;
}

/** Below the seat. With the valve off normal nobody can see whether the stretch above it is still full. */
function supplyOf(view: RiserView): Water {
  return believed(view, 'supply-valve') === 'open' && !isActive(view, 'supply-pressure-low') ? 'water' : 'unseen';
}

function seatOf(view: RiserView): Waterline['seat'] {
  const position = believed(view, 'clapper');
  return position === 'open' || position === 'shut' ? position : 'unseen';
}

/** Water under pressure in the outlet is what the waterflow switch reports, unless a test feeds the alarm line alone. */
function outletOf(view: RiserView, seat: Waterline['seat']): Water {
  if (isActive(view, 'waterflow')) return seat === 'open' ? 'water' : 'unseen';
  return drained(view, seat);
}

/** Above the outlet no riser has a point: the piping is inferred, or unseen. */
function pipingOf(view: RiserView, seat: Waterline['seat']): Water {
  if (view.phase === 'flowing' && seat === 'open') return outletOf(view, seat);
  return drained(view, seat);
}

/**
 * Behind a shut seat the pipe is dry as long as nothing went through it. Once it did, only a proven step says that it
 * ran empty; a restored waterflow switch does not.
 */
function drained({ restoration }: RiserView, seat: Waterline['seat']): Water {
  const step = restoration.find((each) => each.step === 'low-points-drained');
  if (step === undefined) return seat === 'shut' ? 'empty' : 'unseen';
  return step.status === 'proven' ? 'empty' : 'unseen';
}

const isActive = ({ points }: RiserView, signal: string): boolean =>
  points.some((point) => point.signal === signal && point.state === 'active');
