import { speakDuration } from '@tidemark/kernel';
import { hasPoint, latchedAlarm, openTest, releasingAlarm } from '@tidemark/riser';
import type { Flow, Mark } from '@tidemark/riser';
import { isInitiating } from '@tidemark/signals';
import type { Rule } from '../condition.ts';
import type { Facts, ReleaseFact } from '../facts.ts';
import { activeSince, plus, supplyClosed } from '../facts.ts';
import { at, cautions, nameOf, timeOf } from '../wording.ts';

const unseen = (release: ReleaseFact): string =>
  release.seen ? '' : ' The release itself is not reported by this riser; the alarm stands for it.';

/** The solenoid is energized and no waterflow follows within the predicted window. */
export const releaseWithoutFlow: Rule = (facts) => {
  const { release, spans, windows } = facts;
  if (!facts.open || release === undefined || release.end !== undefined || !hasPoint(facts.profile, 'waterflow'))
    return [];
  if (release.supplyClosed !== undefined || release.flowAlready || closedMeanwhile(facts, release)) return [];
  const near_ms = release.begin.order_ms - spans.latency_ms;
  if (facts.episode?.flows.some(({ begin, end }) => end === undefined || begin.order_ms >= near_ms) === true) return [];
  const began = plus(release.begin.ref.at, release.doneAt_ms - release.begin.receivedAt);
  const window = {
    from: plus(began, windows.releaseToWaterflow.min_s * 1_000 - spans.scan_ms),
    to: plus(began, spans.waterflow_ms),
  };
  return [
    {
      code: 'release-without-flow',
      occasion: release.begin.ref.id,
      dueAt_ms: release.doneAt_ms + spans.waterflow_ms + spans.latency_ms,
      severity: 'critical',
      evidence: [release.begin.ref],
      window,
      absence: true,
      variant: activeSince(facts, 'prime-pressure-low') === undefined ? 'prime-held' : 'prime-lost',
      say: () => ({
        explanation: `The release was ${release.seen ? 'energized' : 'called for'} at ${timeOf(facts, release.begin)} and no waterflow has been reported; it should have come by ${at(facts, window.to)}. ${primeWitness(facts)}${unseen(release)}`,
        advice:
          'If there is a fire, tell the fire service that the riser may not be discharging. Somebody on site may use the local manual release.',
        caution: cautions.fire,
      }),
    },
  ];
};

/** What the priming switch adds: the witness that the chamber vented (MODEL 4.8, truth table). */
function primeWitness(facts: Facts): string {
  if (!hasPoint(facts.profile, 'prime-pressure-low'))
    return 'Whether the priming chamber vented cannot be seen from here.';
  const low = activeSince(facts, 'prime-pressure-low');
  return low === undefined
    ? 'Priming pressure was not reported low either: the release may not have vented the chamber.'
    : `Priming pressure was reported low at ${timeOf(facts, low)}, so the chamber vented: the valve, the water or the alarm line did not follow.`;
}

/** The valve was closed before water could be due: then no water is no surprise. */
const closedMeanwhile = (facts: Facts, release: ReleaseFact): boolean =>
  facts.episode?.closings.some(
    ({ begin, end }) =>
      begin.order_ms <= release.begin.order_ms + facts.spans.waterflow_ms &&
      (end === undefined || end.order_ms >= release.begin.order_ms),
  ) === true;

/** The release acts while the supply valve is supervised closed. */
export const releaseWhileIsolated: Rule = (facts) => {
  const { release } = facts;
  if (!facts.open || release?.supplyClosed === undefined || release.end !== undefined || !supplyClosed(facts))
    return [];
  const closed = release.supplyClosed;
  return [
    {
      code: 'release-while-isolated',
      occasion: release.begin.ref.id,
      dueAt_ms: release.doneAt_ms,
      severity: 'critical',
      evidence: [closed.ref, release.begin.ref],
      absence: false,
      say: () => ({
        explanation: `The release acted at ${timeOf(facts, release.begin)} while the supply valve was reported not fully open (since ${timeOf(facts, closed)}). Water may not come, or only little of it.${unseen(release)}`,
        advice:
          'If there is a fire, tell the fire service that this riser may have no water. Ask who closed the valve, and whether it can be opened.',
        caution: `${cautions.fire} Opening the valve will discharge water: people must be clear of the nozzles.`,
      }),
    },
  ];
};

/** A waterflow alarm with no release and no test announced. */
export const flowWithoutRelease: Rule = (facts) => {
  const { flow, spans } = facts;
  if (
    !facts.open ||
    flow === undefined ||
    flow.end !== undefined ||
    flow.testWindow !== undefined ||
    !knowsRelease(facts)
  )
    return [];
  if (isReleased(facts, flow)) return [];
  const low = activeSince(facts, 'prime-pressure-low');
  return [
    {
      code: 'flow-without-release',
      occasion: flow.begin.ref.id,
      dueAt_ms: flow.begin.receivedAt + spans.latency_ms,
      severity: 'critical',
      evidence: [flow.begin.ref, ...(low === undefined ? [] : [low.ref])],
      absence: true,
      variant: low === undefined ? 'prime-held' : 'prime-lost',
      say: () => ({
        explanation:
          `Waterflow was reported at ${timeOf(facts, flow.begin)}; no release was reported and no test was announced. ` +
          (low === undefined
            ? `Priming pressure ${hasPoint(facts.profile, 'prime-pressure-low') ? 'was not reported low: the valve itself has probably not opened' : 'is not reported by this riser'}.`
            : `Priming pressure was reported low at ${timeOf(facts, low)}: the valve has probably opened, perhaps by the local manual release.`),
        advice:
          low === undefined
            ? 'Ask whether somebody is testing the alarm line; if nobody is, have the riser looked at.'
            : 'Somebody may have used the local release in a fire: handle it as a fire first, and look for a fault afterwards.',
        caution: low === undefined ? cautions.water : cautions.fire,
      }),
    },
  ];
};

const knowsRelease = (facts: Facts): boolean =>
  hasPoint(facts.profile, 'solenoid') ||
  facts.profile.points.some(({ signal, releases }) => isInitiating(signal) && releases);

/** A release, seen or stood for by its alarm, that a waterflow follows from. */
export const isReleased = (facts: Facts, flow: Flow): boolean =>
  flow.release !== undefined || releasedFor(facts, flow.begin);

function releasedFor(facts: Facts, flowBegin: Mark): boolean {
  const { release, spans } = facts;
  if (release === undefined) return false;
  if (!release.seen)
    return (
      flowBegin.order_ms >= release.begin.order_ms + spans.releaseDelay_ms - spans.scan_ms &&
      (release.end === undefined || flowBegin.order_ms <= release.end.order_ms)
    );
  return release.end === undefined || release.begin.order_ms >= flowBegin.order_ms;
}

/** An initiating alarm that by the profile should release, and no solenoid by the release deadline. */
export const alarmWithoutRelease: Rule = (facts) => {
  const { spans, picture } = facts;
  if (!facts.open || !hasPoint(facts.profile, 'solenoid')) return [];
  const alarm = releasingAlarm(picture);
  if (
    alarm === undefined ||
    activeSince(facts, 'solenoid') !== undefined ||
    activeSince(facts, 'release-disconnect') !== undefined
  )
    return [];
  const stands = picture.active.some(({ signal, releases }) => releases && isInitiating(signal));
  const acted =
    facts.episode?.releases.some(({ begin }) => begin.order_ms >= alarm.order_ms - spans.latency_ms) === true;
  if (!stands || acted) return [];
  const to = plus(alarm.ref.at, spans.release_ms);
  return [
    {
      code: 'alarm-without-release',
      occasion: alarm.ref.id,
      dueAt_ms: alarm.receivedAt + spans.release_ms + spans.latency_ms,
      severity: 'critical',
      evidence: [alarm.ref],
      window: { from: plus(alarm.ref.at, spans.releaseDelay_ms), to },
      absence: true,
      say: () => ({
        explanation: `The ${nameOf(facts, alarm.ref)} went into alarm at ${timeOf(facts, alarm)}. By this riser's profile it should energize the release solenoid by ${at(facts, to)}, and the solenoid has not been reported. ${waterWitness(facts)}`,
        advice:
          'If there is a fire, tell the fire service that the riser may not have released. Somebody on site may use the local manual release.',
        caution: cautions.fire,
      }),
    },
  ];
};

const waterWitness = (facts: Facts): string => {
  const flow = activeSince(facts, 'waterflow');
  return flow === undefined
    ? 'No waterflow is reported either.'
    : `Waterflow was reported at ${timeOf(facts, flow)} all the same.`;
};

/** The solenoid energizes with no initiating alarm. */
export const releaseWithoutAlarm: Rule = (facts) => {
  const { release, spans, picture } = facts;
  if (!facts.open || release?.seen !== true || release.end !== undefined || release.alarm !== undefined) return [];
  if (!facts.profile.points.some(({ signal }) => isInitiating(signal)) || latchedAlarm(picture) !== undefined)
    return [];
  return [
    {
      code: 'release-without-alarm',
      occasion: release.begin.ref.id,
      dueAt_ms: release.begin.receivedAt + spans.latency_ms,
      severity: 'critical',
      evidence: [release.begin.ref],
      absence: true,
      say: () => ({
        explanation: `The release solenoid was energized at ${timeOf(facts, release.begin)} and no initiating device has been reported in alarm. The valve opens all the same.`,
        advice:
          'Handle it as a fire until somebody has looked; then ask what the panel shows as the reason for the release.',
        caution: cautions.fire,
      }),
    },
  ];
};

/** The release is disconnected for too long, or at the time of an alarm. */
export const releaseDisabled: Rule = (facts) => {
  const { picture, profile, spans } = facts;
  const off = activeSince(facts, 'release-disconnect');
  if (!facts.open || off === undefined) return [];
  const alarm = alarmWhileOff(facts);
  const test = picture.tests.findLast(({ end }) => end === undefined);
  if (alarm === undefined && test !== undefined && test.endsAt === undefined) return [];
  const long_ms = off.receivedAt + profile.limits.releaseDisabledSeconds * 1_000 + spans.latency_ms;
  return [
    {
      code: 'release-disabled',
      occasion: off.ref.id,
      dueAt_ms: alarm === undefined ? Math.max(long_ms, test?.endsAt ?? 0) : Math.max(alarm.receivedAt, off.receivedAt),
      severity: alarm === undefined ? 'high' : 'critical',
      evidence: alarm === undefined ? [off.ref] : [off.ref, alarm.ref],
      absence: alarm === undefined,
      say: () =>
        alarm === undefined
          ? {
              explanation: `The release has been disconnected since ${timeOf(facts, off)}, longer than ${speakDuration(profile.limits.releaseDisabledSeconds * 1_000)}, with no test announced. An alarm would not open the valve.`,
              advice:
                'Ask who disconnected it and whether the work is done; have it reconnected, or declare an impairment.',
              caution: cautions.unprotected,
            }
          : {
              explanation: `The ${nameOf(facts, alarm.ref)} went into alarm at ${timeOf(facts, alarm)} while the release is disconnected (since ${timeOf(facts, off)}). The panel cannot open the valve.`,
              advice:
                'If there is a fire, tell the fire service that this riser will not release by itself. Somebody on site may use the local manual release.',
              caution: cautions.fire,
            },
    },
  ];
};

/** An alarm that stands while the release is disconnected, outside a test and with no release since. */
function alarmWhileOff(facts: Facts): Mark | undefined {
  const { picture, episode } = facts;
  const alarm = releasingAlarm(picture);
  if (alarm === undefined || openTest(picture, alarm.order_ms) !== undefined) return undefined;
  const stands = picture.active.some(({ signal, releases }) => releases && isInitiating(signal));
  const acted = episode?.releases.some(({ begin }) => begin.order_ms >= alarm.order_ms) === true;
  return stands && !acted ? alarm : undefined;
}
