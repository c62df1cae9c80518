import { lostAfter_ms } from '@tidemark/api';
import { speakDuration } from '@tidemark/kernel';
import { useLive, useLiveStore, useMachineTime_ms } from './use-live.ts';

/** Whether what is shown is true now, in words; told to screen readers when it changes. */
export function ConnectionState() {
  const { connection, following, heardAt_ms } = useLive();
  const now_ms = useMachineTime_ms();
  return (
    <p className={`connection ${connection === 'live' && following === 'live' ? 'live' : 'not-live'}`} role="status">
      {words(connection, following)}
      {connection === 'lost' && heardAt_ms !== undefined && <span aria-hidden="true"> {age(now_ms, heardAt_ms)}</span>}
    </p>
  );
}

function words(
  connection: ReturnType<typeof useLive>['connection'],
  following: ReturnType<typeof useLive>['following'],
): string {
  if (connection === 'connecting') return 'connecting';
  if (connection === 'lost') return 'connection lost';
  if (following === 'catching-up') return 'station is catching up';
  return following === 'down' ? 'station does not follow its journal' : 'live';
}

/** A band across the page while the connection is cut, and what was missed once it is back. */
export function ConnectionBand() {
  const { connection, following, heardAt_ms, back } = useLive();
  const store = useLiveStore();
  const now_ms = useMachineTime_ms();
  if (connection === 'lost')
    return (
      <p className="band lost">
        <strong>Connection lost.</strong>{' '}
        {heardAt_ms === undefined
          ? 'The station has not answered yet.'
          : `Everything below is ${age(now_ms, heardAt_ms)} old, and hatched. Do not act on it.`}{' '}
        Trying again by itself.
      </p>
    );
  if (connection === 'live' && following !== 'live')
    return (
      <p className="band lost">
        <strong>Not up to date.</strong> The station answers but is{' '}
        {following === 'down' ? 'not following' : 'still reading'} its journal.
      </p>
    );
  if (back === undefined) return null;
  return (
    <p className="band back">
      Connected again after {speakDuration(back.lost_ms)}. {missed(back.changes)}{' '}
      <button type="button" onClick={store.dismissBack}>
        Seen
      </button>
    </p>
  );
}

function missed(changes: number | 'unknown'): string {
  if (changes === 'unknown') return 'How much was missed is not known; everything shown is read anew.';
  if (changes === 0) return 'Nothing happened meanwhile.';
  return `${changes} ${changes === 1 ? 'change' : 'changes'} came meanwhile and ${changes === 1 ? 'is' : 'are'} shown now.`;
}

/** The second hand of the machine may stand just before the moment that was heard. */
const age = (now_ms: number, heardAt_ms: number): string => speakDuration(Math.max(now_ms - heardAt_ms, lostAfter_ms));
