import type { RiserView } from '@tidemark/api';
import { eventWords } from '../records/events-screen.tsx';
import { useStory } from '../riser/use-riser.ts';
import { storyLimit_events } from '../server.ts';
import { dayOf, exactTime } from '../time.ts';
import { inChosenUnits, useUnits } from '../units.ts';

/** The events of the episode with both clocks, oldest first. Deadlines that fell due are left out. */
export function EventTable({ view }: { readonly view: RiserView }) {
  const { data } = useStory(view);
  const units = useUnits();
  const zone = view.site.timeZone;
  return (
    <section aria-labelledby="events">
      <h2 id="events">Events</h2>
      {data?.complete === false && <p>Only the newest {storyLimit_events} are listed; the export holds them all.</p>}
      <table className="report-events">
        <thead>
          <tr>
            <th scope="col">Panel’s clock</th>
            <th scope="col">Received</th>
            <th scope="col">What</th>
          </tr>
        </thead>
        <tbody>
          {(data?.events ?? [])
            .filter(({ type }) => type !== 'time')
            .map((event) => (
              <tr key={event.id}>
                <td>
                  {event.type === 'signal' && event.observedAt !== undefined ? exactTime(event.observedAt, zone) : ''}
                </td>
                <td>
                  {dayOf(event.receivedAt, zone)}, {exactTime(event.receivedAt, zone)}
                </td>
                <td>{eventWords(event, (value, unit) => inChosenUnits(value, unit, units))}</td>
              </tr>
            ))}
        </tbody>
      </table>
    </section>
  );
}
