import type { Instant } from '@tidemark/kernel';
import type { Picture, PointState } from '@tidemark/riser';
import { openImpairment, openTest, runOn } from '@tidemark/riser';
import { classOf } from '@tidemark/signals';
import { alertViews } from './alert-view.ts';
import { policyOf } from './alerts.ts';
import type { Facts } from './facts.ts';
import { linkIsStale } from './ledger.ts';
import { positionsOf } from './positions.ts';
import { restorationList } from './restoration.ts';
import { limitReachedAt_ms } from './rules/standing.ts';
import { episodeOf } from './story.ts';
import type { Twin } from './twin.ts';
import type { PointView, RiserView } from './view.ts';

/** The state of a riser as of a moment not before its last event (CONTRACT 4). */
export function viewOf(twin: Twin, now: Instant): RiserView {
  const { facts, riser, phase } = twin;
  const { profile } = riser;
  const picture = runOn(riser.picture, now);
  const findings = [...twin.ledger.values()].map(({ finding }) => finding);
  const stale = linkIsStale(facts, now);
  return {
    account: profile.account,
    riser: profile.riser,
    site: profile.site,
    phase,
    phaseSince: twin.phaseSince,
    asOf: now,
    points: [...picture.points.values()].map((point) => pointView(point, facts, stale)),
    readings: [...picture.readings.values()].map(({ name, point, value, unit, mark }) => ({
      name,
      point,
      value,
      unit,
      at: mark.ref.at,
    })),
    positions: positionsOf(facts, now),
    episode: episodeOf(facts, phase, findings),
    restoration: restorationList(facts),
    findings,
    alerts: alertViews(twin.alerts.book.values(), policyOf(profile), now),
    actions: actionViews(picture),
    link: linkView(twin, stale),
    test: testView(twin, now),
    impairment: impairmentView(twin),
    counts: { signals: riser.signals, repeats: riser.repeats },
  };
}

function pointView(point: PointState, facts: Facts, stale: boolean): PointView {
  const latched =
    point.state === 'active' &&
    ((classOf(point.signal) === 'alarm' && facts.profile.panel.restorals === 'reset') ||
      (classOf(point.signal) === 'supervisory' && facts.profile.panel.supervisoryRestorals === 'reset'));
  return {
    point: point.point,
    signal: point.signal,
    label: point.label,
    state: latched ? 'not-known' : point.state,
    since: point.since?.ref.at,
    heardAt: point.heard?.ref.at,
    heardReceivedAt: point.heard?.receivedAt,
    fresh: point.heard !== undefined && !stale,
  };
}

const actionViews = ({ actions, episode }: Picture): RiserView['actions'] =>
  actions.map(({ mark, by, command }) => ({
    id: mark.ref.id,
    at: mark.receivedAt,
    by,
    command,
    inEpisode: episode !== undefined && episode.end === undefined && mark.order_ms >= episode.begin.order_ms,
  }));

function linkView({ riser }: Twin, stale: boolean): RiserView['link'] {
  const { link, heard } = riser.picture;
  const [clock] = [...riser.sources.values()];
  return {
    state: link.state === 'down' ? 'down' : stale ? 'stale' : heard === undefined ? link.state : 'up',
    since: link.mark?.receivedAt,
    lastHeardAt: heard?.receivedAt,
    clockOffset_ms: clock?.lastRef === undefined ? undefined : -clock.leastDelay_ms,
  };
}

function testView({ riser }: Twin, now: Instant): RiserView['test'] {
  const test = openTest(riser.picture, now);
  return (
    test && {
      origin: test.origin,
      began: test.begin.receivedAt,
      endsAt: test.endsAt,
      expect: test.expect,
      seen: [...test.seen.keys()],
    }
  );
}

function impairmentView({ riser }: Twin): RiserView['impairment'] {
  const { picture, profile } = riser;
  const open = openImpairment(picture);
  if (open === undefined) return undefined;
  const limitAt = limitReachedAt_ms(picture.impairments, open, profile.limits.impairmentSeconds * 1_000) as Instant;
  return { kind: open.kind, reason: open.reason, began: open.begin.receivedAt, limitAt };
}
