import { useMutation } from '@tanstack/react-query';
import { useStationTime_ms } from '../live/use-live.ts';
import { Failure } from '../parts/failure.tsx';
import { Go } from '../parts/go.tsx';
import { useWho } from './use-who.ts';

/** So long before a session ends by itself the page says so. A choice of this project: time to finish and log in anew. */
const warning_ms = 900_000;

/** Who acts here, and the way out. */
export function WhoIsHere() {
  const { who, store } = useWho();
  const out = useMutation({ mutationFn: store.logOut });
  return (
    <div className="who">
      <Go to={{ screen: 'me' }}>{who.name}</Go>
      <button
        type="button"
        className="small"
        disabled={out.isPending}
        onClick={() => {
          out.mutate();
        }}
      >
        Log out
      </button>
      {out.error !== null && <Failure of={out.error} />}
    </div>
  );
}

/** A session ends at its time, whatever is going on: said early enough to choose the moment. */
export function SessionBand() {
  const { who, store } = useWho();
  const left_ms = Date.parse(who.endsAt) - useStationTime_ms();
  if (who.site === 'demo' || left_ms > warning_ms) return null;
  return (
    <p className="band" role="status">
      Your session ends in {Math.max(1, Math.ceil(left_ms / 60_000))} min. Log in anew at a quiet moment; this address
      is kept.{' '}
      <button type="button" onClick={() => void store.logOut()}>
        Log in anew
      </button>
    </p>
  );
}
