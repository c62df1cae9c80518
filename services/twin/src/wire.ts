import type { Position } from '@tidemark/journal';
import type { Instant, Json, JsonObject } from '@tidemark/kernel';
import { formatInstant } from '@tidemark/kernel';
import type { RestorationStep, RiserView } from '@tidemark/reasoning';
import { actionOnTheWire, alertOnTheWire, findingOnTheWire } from '@tidemark/reasoning';
import type { EventReference } from '@tidemark/riser';

/**
 * The state of a riser as it goes over the wire (CONTRACT 4), with the journal position of the last event it rests on:
 * what was sent to the station is safe once a state with its position, or a later one, is seen.
 */
export const stateOnTheWire = (view: RiserView, position: Position): JsonObject =>
  present({
    ...view,
    position: position.toString(),
    site: { ...view.site },
    phaseSince: time(view.phaseSince),
    asOf: formatInstant(view.asOf),
    points: view.points.map((point) =>
      present({
        ...point,
        since: time(point.since),
        heardAt: time(point.heardAt),
        heardReceivedAt: time(point.heardReceivedAt),
      }),
    ),
    readings: view.readings.map((reading) => present({ ...reading, at: formatInstant(reading.at) })),
    positions: view.positions.map((each) => ({ ...each, evidence: each.evidence.map(reference) })),
    episode: episode(view),
    restoration: view.restoration.map(restorationStep),
    findings: view.findings.map(findingOnTheWire),
    alerts: view.alerts.map(alertOnTheWire),
    actions: view.actions.map(actionOnTheWire),
    link: present({ ...view.link, since: time(view.link.since), lastHeardAt: time(view.link.lastHeardAt) }),
    test: view.test && present({ ...view.test, began: formatInstant(view.test.began), endsAt: time(view.test.endsAt) }),
    impairment: view.impairment && {
      ...view.impairment,
      began: formatInstant(view.impairment.began),
      limitAt: formatInstant(view.impairment.limitAt),
    },
    counts: { ...view.counts },
  });

const episode = ({ episode: open }: RiserView): Json | undefined =>
  open && {
    ...open,
    began: formatInstant(open.began),
    story: open.story.map(({ at, text, evidence }) => ({ at: formatInstant(at), text, evidence: reference(evidence) })),
  };

const restorationStep = (step: RestorationStep): JsonObject =>
  present({
    ...step,
    by: time(step.by),
    confirmedAt: time(step.confirmedAt),
    evidence: step.evidence.map(reference),
  });

const reference = ({ id, what, at }: EventReference): JsonObject => ({ id, what, at: formatInstant(at) });

const time = (at: Instant | undefined): string | undefined => (at === undefined ? undefined : formatInstant(at));

/** The members that are there. */
const present = (members: Readonly<Record<string, Json | undefined>>): JsonObject =>
  Object.fromEntries(Object.entries(members).filter((member): member is [string, Json] => member[1] !== undefined));
