import { chapters } from './story.ts';
import type { Told } from './story.ts';

const short: Readonly<Record<string, string>> = {
  waterflow: 'FLOW',
  'prime-pressure-low': 'PRIM',
  'supply-pressure-low': 'SUP',
  'supply-valve': 'TAMP',
  'prime-valve': 'PV',
  'alarm-line-valve': 'AV',
};

/**
 * What the contacts told, chapter by chapter: quiet standby, discharge, restoration, alarm test. `PRIM+` is priming
 * pressure low becoming active, `PRIM-` restored.
 */
export function signature({ events }: Told): string {
  const within = (from_s: number, until_s: number): string =>
    events
      .filter(({ at_s }) => at_s >= from_s && at_s < until_s)
      .flatMap((event) =>
        event.type === 'contact' ? [`${short[event.contact] ?? ''}${event.state === 'active' ? '+' : '-'}`] : [],
      )
      .join(' ');
  const [quiet, discharge] = [within(0, chapters.discharge), within(chapters.discharge, chapters.shutDown)];
  const [restoration, test] = [within(chapters.shutDown, chapters.test), within(chapters.test, Infinity)];
  return `Q ${quiet} | D ${discharge} | R ${restoration} | T ${test}`.replaceAll('  ', ' ').trim();
}
