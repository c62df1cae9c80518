import type { Instant, JsonObject } from '@tidemark/kernel';
import { formatInstant } from '@tidemark/kernel';
import type { AlertView, DutyView } from './alert-view.ts';
import type { ActionView } from './view.ts';

/** An alert as it goes over any wire: times as RFC 3339, what is absent left out. */
export function alertOnTheWire(alert: AlertView) {
  const { raisedAt, returnedAt, acknowledged, shelving, finding, escalatedTo, aside, duties, ...rest } = alert;
  return {
    ...rest,
    ...(finding === undefined ? {} : { finding }),
    ...(escalatedTo === undefined ? {} : { escalatedTo }),
    raisedAt: formatInstant(raisedAt),
    ...(returnedAt === undefined ? {} : { returnedAt: formatInstant(returnedAt) }),
    ...(acknowledged === undefined ? {} : { acknowledged: signed(acknowledged) }),
    ...(shelving === undefined
      ? {}
      : {
          shelving: { ...shelving, since: formatInstant(shelving.since), until: formatInstant(shelving.until) },
        }),
    ...(aside === undefined ? {} : { aside: { ...aside } }),
    duties: duties.map(dutyOnTheWire),
  };
}

const dutyOnTheWire = ({ opensAt, dueAt, fulfilled, source, ...rest }: DutyView) => ({
  ...rest,
  opensAt: formatInstant(opensAt),
  dueAt: formatInstant(dueAt),
  ...(fulfilled === undefined ? {} : { fulfilled: { ...signed(fulfilled), late: fulfilled.late } }),
  source: { ...source },
});

const signed = ({ by, at }: { readonly by: string; readonly at: Instant }) => ({ by, at: formatInstant(at) });

/** What a person did as it goes over any wire; the members of the command are those it was given with. */
export const actionOnTheWire = ({ id, at, by, command, inEpisode }: ActionView): JsonObject => ({
  id,
  at: formatInstant(at),
  by,
  command: JSON.parse(JSON.stringify(command)) as JsonObject,
  inEpisode,
});
