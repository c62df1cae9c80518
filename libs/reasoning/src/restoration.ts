import type { Instant } from '@tidemark/kernel';
import type { EventReference, Mark } from '@tidemark/riser';
import { activePoints, hasPoint, initiatingActive } from '@tidemark/riser';
import { classOf } from '@tidemark/signals';
import type { Facts } from './facts.ts';
import { activeSince, after, lastGoodReset, lastTrip, latest, plus, supplyClosed } from './facts.ts';
import { refillStart, restoringReset } from './rules/prime.ts';
import type { RestorationStep } from './view.ts';
import type { RestorationStepId } from '@tidemark/words';
import { at, cautions, nameOf, timeOf } from './wording.ts';

/** How one step stands, before somebody on site confirmed it. */
type Standing = Omit<RestorationStep, 'step' | 'title' | 'detail' | 'confirmedBy' | 'confirmedAt'> & {
  /** Worded only when somebody reads it: the list is asked for with every signal, its texts are not. */
  readonly detail: () => string;
};

type StepRule = (facts: Facts, story: Story) => Standing | undefined;

/** The marks that several steps ask for. */
interface Story {
  readonly trip: Mark | undefined;
  readonly reset: Mark | undefined;
  readonly closedInEpisode: boolean;
}

/** Steps that stay on the list but hold back neither in-service nor the end of the episode (CONTRACT 6). */
const holdsNothingBack = new Set<RestorationStepId>(['alarm-line-proven', 'supply-proven']);

const proven = (detail: () => string, ...evidence: readonly EventReference[]): Standing => ({
  status: 'proven',
  detail,
  evidence,
});
const waiting = (detail: () => string, more: Partial<Standing> = {}): Standing => ({
  status: 'waiting',
  detail,
  evidence: [],
  ...more,
});
const contradicted = (detail: () => string, ...evidence: readonly EventReference[]): Standing => ({
  status: 'contradicted',
  detail,
  evidence,
});
const unseen = (detail: () => string): Standing => ({ status: 'cannot-be-seen', detail, evidence: [] });

/** One step of the list, not yet worded. */
type OpenStep = Standing & { readonly step: RestorationStepId; readonly title: string };

/** The restoration list of the open episode, in the order of advice; empty when nothing is to be restored. */
export const restorationList = (facts: Facts): readonly RestorationStep[] =>
  standingSteps(facts).map((standing) => {
    const step: RestorationStep = { ...standing, detail: standing.detail() };
    const confirmed = facts.episode?.confirmed.get(standing.step);
    return confirmed === undefined
      ? step
      : { ...step, confirmedBy: confirmed.by, confirmedAt: confirmed.mark.receivedAt };
  });

/** Steps that hold the riser back: contradicted or waiting, the proofs aside. */
export const openSteps = (facts: Facts): readonly OpenStep[] =>
  standingSteps(facts).filter(
    ({ step, status }) => (status === 'waiting' || status === 'contradicted') && !holdsNothingBack.has(step),
  );

/** What somebody on site confirmed settles a step that cannot be seen from here; it never overrules a signal. */
function standingSteps(facts: Facts): readonly OpenStep[] {
  const { episode } = facts;
  if (!facts.open || episode === undefined || !asksForRestoration(facts)) return [];
  const story: Story = {
    trip: lastTrip(facts),
    reset: episode.resets.at(-1)?.mark,
    closedInEpisode: episode.closings.length > 0,
  };
  return steps.flatMap(({ step, title, rule }) => {
    const standing = rule(facts, story);
    if (standing === undefined) return [];
    const settled = standing.status === 'cannot-be-seen' && episode.confirmed.has(step);
    return [{ step, title, ...standing, ...(settled ? { status: 'proven' as const } : {}) }];
  });
}

/** A trouble alone, or an announced test, leaves nothing to restore. */
const asksForRestoration = (facts: Facts): boolean =>
  facts.episode?.alarmed === true ||
  facts.picture.resetOwed ||
  activePoints(facts.picture, ({ signal }) => classOf(signal) === 'supervisory').length > 0 ||
  facts.episode?.closings.length !== 0;

interface StepDefinition {
  readonly step: RestorationStepId;
  readonly title: string;
  readonly rule: StepRule;
}

const supplyShut: StepRule = (facts, { trip }) => {
  if (trip === undefined) return undefined;
  if (!hasPoint(facts.profile, 'supply-valve'))
    return unseen(() => 'This riser does not report its supply valve: ask the crew whether it is shut.');
  const { closing, flow } = facts;
  if (closing === undefined || (closing.end !== undefined && after(trip, closing.end)))
    return waiting(() => 'We expect the supply valve to be reported not fully open.', { expects: 'supply-valve' });
  const flowing = flow !== undefined && flow.end === undefined;
  if (flowing && closing.end === undefined)
    return waiting(
      () =>
        `Reported not fully open at ${timeOf(facts, closing.begin)}; whether it is shut shows when the water stops.`,
      {
        expects: 'waterflow',
        by: (closing.begin.receivedAt + facts.spans.drainDown_ms) as Instant,
        evidence: [closing.begin.ref],
      },
    );
  return proven(
    () => `Reported not fully open at ${timeOf(facts, closing.begin)}, and no water is reported.`,
    closing.begin.ref,
  );
};

const waterStopped: StepRule = (facts) => {
  const { flow } = facts;
  if (flow === undefined) return undefined;
  const { end } = flow;
  if (end !== undefined)
    return proven(
      () => `The waterflow alarm restored at ${timeOf(facts, end)}: the alarm line has lost its pressure.`,
      end.ref,
    );
  const { closing } = facts;
  const by =
    closing !== undefined && closing.end === undefined
      ? ((closing.begin.receivedAt + facts.spans.drainDown_ms) as Instant)
      : undefined;
  return waiting(() => 'We expect the waterflow switch to restore.', {
    expects: 'waterflow',
    evidence: [flow.begin.ref],
    ...(by === undefined ? {} : { by }),
  });
};

const drained: StepRule = (_facts, { trip }) =>
  trip === undefined
    ? undefined
    : unseen(
        () => 'Nothing here sees the low points: ask the crew whether they were drained (and again before frost).',
      );

const deviceRestored: StepRule = (facts) => {
  const { episode, profile } = facts;
  if (episode === undefined || episode.initiated.size === 0) return undefined;
  const active = initiatingActive(facts.picture);
  const since = active?.since;
  if (active === undefined || since === undefined)
    return proven(() => 'Every initiating device that was in alarm is reported restored.', ...restorals(facts));
  if (profile.panel.restorals === 'reset')
    return waiting(
      () => 'Not known: this panel reports a device restored only with the next reset. Ask the crew before they reset.',
      { expects: active.signal, evidence: [since.ref], caution: cautions.reset },
    );
  const early = episode.resets.at(-1);
  const text = (): string => `The ${nameOf(facts, since.ref)} is in alarm since ${timeOf(facts, since)}.`;
  return early !== undefined && early.early.length > 0
    ? contradicted(
        () => `${text()} The panel was reset at ${timeOf(facts, early.mark)} all the same.`,
        since.ref,
        early.mark.ref,
      )
    : waiting(() => `${text()} We expect it to report restored.`, {
        expects: active.signal,
        evidence: [since.ref],
      });
};

const restorals = (facts: Facts): readonly EventReference[] =>
  facts.picture.points.flatMap(({ signal, state, since }) =>
    classOf(signal) === 'alarm' && signal !== 'waterflow' && state === 'restored' && since !== undefined
      ? [since.ref]
      : [],
  );

const panelReset: StepRule = (facts) => {
  const { episode } = facts;
  if (episode === undefined || !episode.alarmed) return undefined;
  const good = lastGoodReset(episode);
  const last = [...episode.initiated.values()].reduce<Mark | undefined>(
    (best, mark) => latest(best, mark),
    lastTrip(facts),
  );
  if (good !== undefined && !after(last, good.mark))
    return proven(() => `Reset at ${timeOf(facts, good.mark)} with every alarm point restored.`, good.mark.ref);
  const early = episode.resets.at(-1);
  if (early !== undefined && early.early.length > 0 && after(early.mark, last))
    return contradicted(
      () => `The reset at ${timeOf(facts, early.mark)} came before the devices had restored.`,
      early.mark.ref,
    );
  return waiting(() => 'After the initiating device has restored. We expect the panel to report a reset.', {
    expects: 'reset',
    caution: cautions.reset,
  });
};

const solenoidAtRest: StepRule = (facts) => {
  const { episode, release, spans } = facts;
  if (episode === undefined || (episode.releases.length === 0 && release === undefined)) return undefined;
  if (!hasPoint(facts.profile, 'solenoid'))
    return unseen(() => 'This riser does not report its release: ask what the panel shows.');
  const atRest = release?.end;
  if (atRest !== undefined)
    return proven(() => `The release solenoid was reported at rest at ${timeOf(facts, atRest)}.`, atRest.ref);
  const reset = lastGoodReset(episode);
  if (release !== undefined && reset !== undefined && after(reset.mark, release.begin))
    return waiting(() => 'We expect the solenoid to be reported at rest.', {
      expects: 'solenoid',
      by: (reset.mark.receivedAt + spans.settle_ms) as Instant,
    });
  return waiting(() => 'It comes with the reset.', { expects: 'solenoid' });
};

const byHand: StepRule = (facts, { trip }) =>
  trip !== undefined && facts.profile.trim.manualReset
    ? unseen(() => 'This valve is set by hand: ask the crew whether it is latched shut.')
    : undefined;

const primeBack: StepRule = (facts, { trip }) => {
  const low = activeSince(facts, 'prime-pressure-low');
  if (trip === undefined && low === undefined) return undefined;
  if (!hasPoint(facts.profile, 'prime-pressure-low'))
    return unseen(() => 'This riser does not report its priming pressure: ask for the gauge.');
  const back = facts.episode?.primeBack;
  if (low === undefined)
    return back === undefined
      ? waiting(
          () =>
            'Priming pressure was never reported low in this episode; its return cannot prove anything. Ask for the gauge.',
        )
      : proven(() => `Priming pressure was reported back at ${timeOf(facts, back)}.`, back.ref);
  const reset = restoringReset(facts);
  if (reset === undefined)
    return waiting(() => 'It returns after the reset, where the priming valve is open.', {
      expects: 'prime-pressure-low',
      evidence: [low.ref],
    });
  const start = refillStart(facts, reset) ?? reset.mark;
  const by = plus(start.receivedAt, facts.spans.refill_ms);
  return waiting(() => `We expect priming pressure back by ${at(facts, by)}.`, {
    expects: 'prime-pressure-low',
    by,
    evidence: [low.ref],
    caution: cautions.reopen,
  });
};

const drainsClosed: StepRule = (_facts, { trip }) =>
  trip === undefined
    ? undefined
    : unseen(
        () =>
          'Drains and test connection cannot be seen from here: the crew confirms that they are shut before the supply opens.',
      );

const supplyOpen: StepRule = (facts, { trip, closedInEpisode }) => {
  if (!closedInEpisode && trip === undefined) return undefined;
  if (!hasPoint(facts.profile, 'supply-valve'))
    return unseen(
      () => 'This riser does not report its supply valve: ask the crew whether it is fully open, and sealed or locked.',
    );
  const { closing } = facts;
  if (closing === undefined)
    return waiting(() => 'The supply valve was never reported closed; if it was, its switch is dead. Ask the crew.');
  if (supplyClosed(facts))
    return waiting(
      () => 'We expect the supply valve to be reported fully open; it restores only at the fully open position.',
      { expects: 'supply-valve', evidence: [closing.begin.ref], caution: cautions.reopen },
    );
  return proven(
    () => `Reported fully open at ${closing.end === undefined ? '' : timeOf(facts, closing.end)}.`,
    ...(closing.end === undefined ? [] : [closing.end.ref]),
  );
};

const supervisoryCleared: StepRule = (facts) => {
  const standing = activePoints(
    facts.picture,
    ({ signal }) => classOf(signal) === 'supervisory' || signal === 'panel-supervisory',
  );
  const first = standing[0];
  if (first === undefined) {
    const closing = facts.closing?.end;
    return closing === undefined ? undefined : proven(() => 'No supervisory signal stands.', closing.ref);
  }
  return waiting(() => `Still standing: ${standing.map(({ label }) => label).join(', ')}.`, {
    expects: first.signal,
    evidence: standing.flatMap(({ since }) => (since === undefined ? [] : [since.ref])),
  });
};

const supplyProven: StepRule = (facts, { closedInEpisode }) =>
  closedInEpisode && facts.profile.drains.supply
    ? unseen(
        () =>
          'A main drain test after a valve was closed and reopened shows that water is really there (NFPA 25, 13.2.5 and 13.3.3.4): the crew reads the gauge and confirms.',
      )
    : undefined;

const finalReset: StepRule = (facts, { closedInEpisode }) => {
  const { episode } = facts;
  if (episode === undefined || !episode.alarmed) return undefined;
  const first = episode.firstGoodReset;
  const last = episode.resets.at(-1);
  if (facts.picture.resetOwed || first === undefined || last === undefined)
    return waiting(
      () => 'Once every device and supervisory signal has restored. We expect the panel to report a reset.',
      {
        expects: 'reset',
      },
    );
  if (closedInEpisode && supplyClosed(facts))
    return waiting(() => 'After the supply valve is fully open again.', { expects: 'reset' });
  return proven(() => `Reset at ${timeOf(facts, last.mark)} with nothing left to restore.`, last.mark.ref);
};

const nothingRemains: StepRule = (facts) => {
  const standing = activePoints(facts.picture, ({ signal }) => signal !== 'test-mode');
  if (standing.length === 0) return proven(() => 'No signal is active.');
  return waiting(() => `Still active: ${standing.map(({ label }) => label).join(', ')}.`, {
    evidence: standing.flatMap(({ since }) => (since === undefined ? [] : [since.ref])),
  });
};

const lineProven: StepRule = (facts, { trip, reset }) => {
  if (trip === undefined) return undefined;
  const flow = facts.flow;
  if (flow?.testWindow !== undefined && flow.end !== undefined && after(flow.begin, reset))
    return proven(
      () => `The alarm test at ${timeOf(facts, flow.begin)} was reported and bled down.`,
      flow.begin.ref,
      flow.end.ref,
    );
  return unseen(
    () =>
      'An announced alarm test proves the alarm line: the waterflow switch reports, and restores when the line has bled down.',
  );
};

/** The order is advice, not a rule: a crew may reopen the supply slowly against an open drain. */
const steps: readonly StepDefinition[] = [
  { step: 'supply-valve-shut', title: 'Supply valve shut', rule: supplyShut },
  { step: 'water-stopped', title: 'Water stopped', rule: waterStopped },
  { step: 'low-points-drained', title: 'Low points drained', rule: drained },
  { step: 'initiating-device-restored', title: 'Initiating device restored', rule: deviceRestored },
  { step: 'panel-reset', title: 'Panel reset', rule: panelReset },
  { step: 'solenoid-at-rest', title: 'Release solenoid at rest', rule: solenoidAtRest },
  { step: 'valve-reset-by-hand', title: 'Valve set by hand', rule: byHand },
  { step: 'prime-pressure-back', title: 'Priming pressure back', rule: primeBack },
  { step: 'drains-closed', title: 'Drains and test connection closed', rule: drainsClosed },
  { step: 'supply-valve-open', title: 'Supply valve fully open', rule: supplyOpen },
  { step: 'supervisory-cleared', title: 'Supervisory cleared', rule: supervisoryCleared },
  { step: 'supply-proven', title: 'Supply proven at the main drain', rule: supplyProven },
  { step: 'final-reset', title: 'Final reset', rule: finalReset },
  { step: 'no-signal-remains', title: 'No signal remains', rule: nothingRemains },
  { step: 'alarm-line-proven', title: 'Alarm line proven by a test', rule: lineProven },
];
