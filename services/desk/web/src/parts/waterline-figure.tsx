import type { Water, Waterline } from '@tidemark/api';

const waterWords: Readonly<Record<Water, string>> = { water: 'water', empty: 'empty', unseen: 'cannot be seen' };

/** The figure in words, for whoever does not see it. */
export const waterlineWords = ({ supply, seat, outlet, piping }: Waterline): string =>
  `Supply: ${waterWords[supply]}. Seat: ${seat === 'unseen' ? 'cannot be seen' : seat}. ` +
  `Outlet: ${waterWords[outlet]}. Piping: ${waterWords[piping]}.`;

/** A riser as one small upright figure: supply below, the seat as a bar, outlet and piping above. */
export function WaterlineFigure({
  waterline,
  size = 'small',
}: {
  readonly waterline: Waterline;
  readonly size?: 'small' | 'large';
}) {
  const { supply, seat, outlet, piping } = waterline;
  return (
    <svg viewBox="0 0 26 48" className={`waterline ${size}`} role="img" aria-label={waterlineWords(waterline)}>
      <rect x="8" y="2" width="10" height="14" className={`pipe ${piping}`} />
      <rect x="8" y="16" width="10" height="12" className={`pipe ${outlet}`} />
      <rect x="8" y="28" width="10" height="18" className={`pipe ${supply}`} />
      <Seat seat={seat} />
    </svg>
  );
}

function Seat({ seat }: { readonly seat: Waterline['seat'] }) {
  if (seat === 'shut') return <line x1="3" x2="23" y1="28" y2="28" className="seat" />;
  if (seat === 'open') return <line x1="13" x2="24" y1="28" y2="18" className="seat" />;
  return <line x1="3" x2="23" y1="28" y2="28" className="seat unseen" />;
}
