import type { RiserSummary } from '@tidemark/api';
import { keyText } from '../address.ts';
import { Go } from '../parts/go.tsx';
import { WaterlineFigure } from '../parts/waterline-figure.tsx';
import { phaseWords } from '../words/riser-words.ts';

/** The fleet by site: names of risers repeat from site to site. */
export function FleetBySite({ risers }: { readonly risers: readonly RiserSummary[] }) {
  const sites = bySite(risers);
  return [...sites].map(([account, own]) => (
    <section key={account} aria-label={own[0]?.site.name}>
      {sites.size > 1 && <h3 className="site">{own[0]?.site.name}</h3>}
      <Fleet risers={own} />
    </section>
  ));
}

/** Every riser that needs nobody, side by side: the one that differs is seen before it is read. */
export function Fleet({
  risers,
  size = 'small',
}: {
  readonly risers: readonly RiserSummary[];
  readonly size?: 'small' | 'large';
}) {
  return (
    <ul className={`fleet ${size}`}>
      {risers.map((riser) => (
        <li key={keyText(riser)}>
          <Go to={{ screen: 'watch', key: { account: riser.account, riser: riser.riser } }}>
            <WaterlineFigure waterline={riser.waterline} size={size} />
            <span className="name">{riser.riser}</span>
            <span className={size === 'large' ? 'soft' : 'only-heard'}>
              {riser.site.name}, {phaseWords[riser.phase]}
            </span>
          </Go>
        </li>
      ))}
    </ul>
  );
}

function bySite(risers: readonly RiserSummary[]): ReadonlyMap<string, readonly RiserSummary[]> {
  const sites = new Map<string, RiserSummary[]>();
  for (const riser of risers) sites.set(riser.account, [...(sites.get(riser.account) ?? []), riser]);
  return sites;
}
