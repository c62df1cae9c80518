import type { RiserView } from '@tidemark/api';
import { Moment } from '../parts/moment.tsx';
import { commandWords } from '../words/command-words.ts';

/** So many of the newest are listed; the record of events holds them all. */
const listed = 40;

/** What people did and put on record, newest first, each with its author. */
export function Deeds({ view, now_ms }: { readonly view: RiserView; readonly now_ms: number }) {
  const alertNames = new Map(
    view.alerts.map(({ id, label, name, finding }) => [id, finding === undefined ? label : name]),
  );
  return (
    <section className="story deeds">
      <h2>What people did</h2>
      {view.actions.length === 0 && <p className="soft">Nobody has recorded anything.</p>}
      <ol>
        {view.actions
          .slice(-listed)
          .toReversed()
          .map(({ id, at, by, command }) => (
            <li key={id}>
              <Moment at={at} zone={view.site.timeZone} now={now_ms} />
              <span>
                {by} {commandWords(command, alertNames)}
              </span>
            </li>
          ))}
      </ol>
    </section>
  );
}
