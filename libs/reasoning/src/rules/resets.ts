import { isInitiating } from '@tidemark/signals';
import { speakDuration } from '@tidemark/kernel';
import type { EventReference, Mark, PointState, Reset } from '@tidemark/riser';
import type { Condition, Rule } from '../condition.ts';
import type { Facts } from '../facts.ts';
import { activeSince, supplyClosed } from '../facts.ts';
import { cautions, listed, nameOf, timeOf } from '../wording.ts';

/** A reset performed while an initiating device or a waterflow switch had not restored. Early resets in a row are one mistake. */
export const resetBeforeClear: Rule = (facts) => {
  const { episode } = facts;
  if (!facts.open || episode === undefined) return [];
  const lastGood = episode.resets.findLastIndex(({ early }) => early.length === 0);
  const run = episode.resets.slice(lastGood + 1);
  const first = run[0];
  const last = run.at(-1);
  if (first === undefined || last === undefined) return [];
  return [
    {
      code: 'reset-before-clear',
      occasion: first.mark.ref.id,
      dueAt_ms: first.mark.receivedAt,
      severity: 'high',
      evidence: [...run.map(({ mark }) => mark.ref), ...distinct(run.flatMap(({ early }) => early))],
      absence: false,
      say: () => ({
        explanation:
          `The panel was reset at ${timeOf(facts, last.mark)} while ${listed(stillUp(facts, last))} had not restored. ` +
          (run.length > 1
            ? `It is the ${run.length === 2 ? 'second' : `${run.length}th`} reset in a row that came too early. `
            : '') +
          'The panel will go into alarm again, and the release may act again.',
        advice: 'Have the device restored first and wait for its restoral signal here; only then have the panel reset.',
        caution: `${cautions.reset} Expect a second release: keep people clear of the nozzles if the supply is open.`,
      }),
    },
  ];
};

const distinct = (references: readonly EventReference[]): readonly EventReference[] => [
  ...new Map(references.map((reference) => [reference.id, reference])).values(),
];

const stillUp = (facts: Facts, reset: Reset): readonly string[] =>
  distinct(reset.early).map((reference) => `the ${nameOf(facts, reference)} (since ${timeOf(facts, reference)})`);

/** An alarm point or `panel-alarm` that becomes active within the settling time of a reset that was not early, with no new initiating device. */
export const reAlarmAfterReset: Rule = (facts) => {
  const reset = facts.picture.lastReset;
  if (!facts.open || reset === undefined || reset.early.length > 0 || actedAnew(facts, reset)) return [];
  const again = facts.picture.active.filter((point) => {
    const since = becameActive(point);
    return since !== undefined && settling(facts, reset, since);
  });
  const marks = again.map((point) => becameActive(point)).filter((mark) => mark !== undefined);
  const first = marks.reduce<Mark | undefined>(
    (best, mark) => (best === undefined || mark.order_ms < best.order_ms ? mark : best),
    undefined,
  );
  if (first === undefined) return [];
  return [
    {
      code: 're-alarm-after-reset',
      occasion: reset.mark.ref.id,
      dueAt_ms: first.receivedAt + facts.spans.latency_ms,
      severity: 'high',
      evidence: [reset.mark.ref, ...marks.map(({ ref }) => ref)],
      absence: true,
      say: () => ({
        explanation:
          `Everything had restored when the panel was reset at ${timeOf(facts, reset.mark)}, yet ${listed(again.map(({ label }) => lower(label)))} went into alarm again ` +
          `${speakDuration(first.order_ms - reset.mark.order_ms)} later, and no other device acted.`,
        advice:
          'Ask for the device to be looked at before the next reset: it may be stuck, wet or still hot, or the fire may be back.',
        caution: cautions.fire,
      }),
    },
  ];
};

const lower = (label: string): string =>
  /^[A-Z][a-z]/.test(label) ? label.charAt(0).toLowerCase() + label.slice(1) : label;

/** Alarm points when their contact closed; the panel's latched alarm also when it is announced anew. */
function becameActive(point: PointState): Mark | undefined {
  if (point.signal === 'panel-alarm') return point.heard;
  return point.signal === 'waterflow' || isInitiating(point.signal) ? point.since : undefined;
}

/** An initiating device that was not in the alarm before the reset acted within its settling time, whether or not it still does. */
const actedAnew = (facts: Facts, reset: Reset): boolean =>
  [...(facts.episode?.initiated ?? [])].some(
    ([name, mark]) => !reset.initiated.includes(name) && settling(facts, reset, mark),
  );

const settling = (facts: Facts, reset: Reset, mark: Mark): boolean =>
  mark.order_ms > reset.mark.order_ms && mark.order_ms - reset.mark.order_ms <= facts.spans.settle_ms;

/** The solenoid stays energized after a reset that left no alarm standing. */
export const solenoidNotReleased: Rule = (facts) => {
  const { release } = facts;
  const energized = activeSince(facts, 'solenoid');
  const reset = facts.episode?.resets.findLast(
    ({ early, mark }) => early.length === 0 && mark.order_ms > (energized?.order_ms ?? Infinity),
  );
  if (!facts.open || release === undefined || energized === undefined || reset === undefined) return [];
  if (facts.picture.active.some(({ signal }) => isInitiating(signal))) return [];
  return [
    {
      code: 'solenoid-not-released',
      occasion: energized.ref.id,
      dueAt_ms: reset.mark.receivedAt + facts.spans.settle_ms + facts.spans.latency_ms,
      severity: 'high',
      evidence: [energized.ref, reset.mark.ref],
      absence: true,
      say: () => ({
        explanation: `The panel was reset at ${timeOf(facts, reset.mark)} with no alarm left, and the release solenoid, energized since ${timeOf(facts, energized)}, was not reported at rest within ${speakDuration(facts.spans.settle_ms)}. The priming chamber cannot hold pressure while it is open.`,
        advice: 'Ask what the panel shows for the release circuit, and whether water runs from the release drain.',
        caution: cautions.reopen,
      }),
    },
  ];
};

/** The valve supervisory outlives the resets, or cleared while a reading says that the valve is shut. */
export const supervisoryNotRestored: Rule = (facts) => [...resetFindsIt(facts), ...readingSaysShut(facts)];

function resetFindsIt(facts: Facts): readonly Condition[] {
  const { closing, episode, spans } = facts;
  const first = episode?.firstGoodReset ?? episode?.resets.at(-1);
  if (!facts.open || closing === undefined || !supplyClosed(facts) || first === undefined || episode === undefined)
    return [];
  // The reset that should have found it open is one after a reset that was not early; going quiet asks for any reset.
  const found =
    episode.firstGoodReset === undefined
      ? undefined
      : episode.resets.find(
          ({ mark, supplyClosed: closed }) =>
            closed !== undefined && mark.order_ms - first.mark.order_ms > spans.reopen_ms,
        );
  const wait_ms = facts.profile.panel.supervisoryRestorals === 'reset' ? spans.settle_ms : 0;
  const heard = facts.picture.heardBesidesTest;
  const quiet_ms = heard === undefined ? Infinity : heard.receivedAt + spans.quiet_ms;
  const dueAt_ms =
    Math.min(found === undefined ? Infinity : found.mark.receivedAt + wait_ms, quiet_ms) + spans.latency_ms;
  return [
    {
      code: 'supervisory-not-restored',
      occasion: closing.begin.ref.id,
      dueAt_ms,
      severity: 'high',
      evidence: [closing.begin.ref, (found ?? first).mark.ref],
      absence: true,
      say: () => ({
        explanation:
          `The supply valve was reported not fully open at ${timeOf(facts, closing.begin)} and has not been reported open since, ` +
          (found === undefined
            ? `though the panel was reset at ${timeOf(facts, first.mark)} and nothing was heard for ${speakDuration(spans.quiet_ms)}.`
            : `though the panel was reset again at ${timeOf(facts, found.mark)}. The riser may stand without water.`),
        advice:
          'Ask for the supply valve to be looked at and turned fully open, counting the turns; then for the switch.',
        caution: cautions.unprotected,
      }),
    },
  ];
}

/** Below this share of the static pressure a supply reading says that the valve is shut (choice of this project). */
const shutShare = 0.1;

function readingSaysShut(facts: Facts): readonly Condition[] {
  const { closing } = facts;
  const restored = closing?.end;
  if (closing === undefined || restored === undefined) return [];
  for (const reading of facts.picture.readings) {
    const tells =
      reading.name === 'supply-pressure' ||
      (reading.name === 'system-pressure' && activeSince(facts, 'waterflow') !== undefined);
    if (!tells || reading.si >= shutShare * facts.profile.supply.static || reading.mark.order_ms <= restored.order_ms)
      continue;
    return [
      {
        code: 'supervisory-not-restored',
        occasion: closing.begin.ref.id,
        dueAt_ms: reading.mark.receivedAt + facts.spans.latency_ms,
        severity: 'high',
        evidence: [restored.ref, reading.mark.ref],
        absence: true,
        variant: 'reading',
        say: () => ({
          explanation: `The supply valve was reported open again at ${timeOf(facts, restored)}, but a pressure of ${reading.value} ${reading.unit} was read at ${timeOf(facts, reading.mark)}: that is what a shut valve, or a failed supply, leaves.`,
          advice:
            'Ask for the supply valve and the supply gauge to be looked at before the riser is counted in service.',
          caution: cautions.unprotected,
        }),
      },
    ];
  }
  return [];
}
