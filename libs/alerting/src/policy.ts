import type { AlertClass, AlertPriority, Duty } from '@tidemark/words';
import { alertPriorities } from '@tidemark/words';
import type { DutyRule } from './duty-table.ts';
import { dutyTable } from './duty-table.ts';

/** One step of escalation: so long after a deadline passed, these people are to know. */
export interface EscalationStep {
  readonly after_s: number;
  readonly to: string;
}

/** Everything about alerts that a site may set. */
export interface AlertPolicy {
  readonly duties: readonly DutyRule[];
  /** The longest shelving by priority; 0 forbids it. */
  readonly shelving_s: Readonly<Record<AlertPriority, number>>;
  readonly escalation: readonly EscalationStep[];
  /** A condition that returns within so long is the same occasion over again. */
  readonly retrigger_s: number;
}

/** What a riser's profile says otherwise; what it leaves out keeps its default. */
export interface PolicyChanges {
  readonly deadlines?:
    | Readonly<
        Partial<
          Record<
            AlertClass,
            | Readonly<
                Partial<
                  Record<
                    Duty,
                    'off' | { readonly afterSeconds?: number | undefined; readonly withinSeconds: number } | undefined
                  >
                >
              >
            | undefined
          >
        >
      >
    | undefined;
  readonly shelvingSeconds?:
    Readonly<Partial<Record<Exclude<AlertPriority, 'emergency'>, number | undefined>>> | undefined;
  readonly escalation?: readonly { readonly afterSeconds: number; readonly to: string }[] | undefined;
  readonly retriggerSeconds?: number | undefined;
}

/**
 * The defaults. ISA-18.2 asks that shelving ends by itself and gives no figure; these are choices of this project. An
 * emergency is never shelved: it is a fire, or protection that fails in one, and NFPA 72 has every alarm signal
 * retransmitted (FACTS 1.31). The others get less than their soonest deadline on site, and a shift at most.
 */
export const defaultPolicy: AlertPolicy = {
  duties: dutyTable,
  shelving_s: { emergency: 0, high: 1_800, medium: 7_200, low: 28_800 },
  escalation: [
    { after_s: 0, to: 'shift lead' },
    { after_s: 300, to: 'service manager' },
    { after_s: 1_800, to: 'head of the station' },
  ],
  // The window of chattering (FACTS 6.25): what comes and goes faster is one occasion.
  retrigger_s: 60,
};

/** The policy of a riser: the defaults, and what its profile says otherwise. */
export function policyWith(changes: PolicyChanges | undefined): AlertPolicy {
  if (changes === undefined) return defaultPolicy;
  const { deadlines, shelvingSeconds, escalation, retriggerSeconds } = changes;
  const shelving = Object.entries(shelvingSeconds ?? {}).filter(([, limit_s]) => limit_s !== undefined);
  return {
    duties: dutyTable.map((rule) => changed(rule, deadlines?.[rule.class]?.[rule.duty])),
    shelving_s: {
      ...defaultPolicy.shelving_s,
      ...(Object.fromEntries(shelving) as Record<string, number>),
      emergency: 0,
    },
    escalation: escalation?.map(({ afterSeconds, to }) => ({ after_s: afterSeconds, to })) ?? defaultPolicy.escalation,
    retrigger_s: retriggerSeconds ?? defaultPolicy.retrigger_s,
  };
}

type Change = 'off' | { readonly afterSeconds?: number | undefined; readonly withinSeconds: number } | undefined;

function changed(rule: DutyRule, change: Change): DutyRule {
  if (change === undefined) return rule;
  const source = { text: 'Set by the profile of the riser', certainty: 'set-by-the-profile' } as const;
  if (change === 'off') return { ...rule, byDefault: false, source };
  const opensAfter_s = change.afterSeconds ?? rule.opensAfter_s;
  return { ...rule, opensAfter_s, within_s: change.withinSeconds, byDefault: true, source };
}

const ofClass: Readonly<Record<AlertClass, AlertPriority>> = {
  alarm: 'emergency',
  critical: 'emergency',
  supervisory: 'high',
  high: 'high',
  trouble: 'medium',
  advisory: 'low',
};

/** The priority of a class: alarm over supervisory over trouble (NFPA 72, 10.7; FACTS 1.11), each level of escalation one higher. */
export const priorityOf = (alertClass: AlertClass, level = 0): AlertPriority =>
  alertPriorities[Math.max(0, alertPriorities.indexOf(ofClass[alertClass]) - level)] ?? 'emergency';

/** Whether one priority is more urgent than another. */
export const isMoreUrgent = (one: AlertPriority, other: AlertPriority): boolean =>
  alertPriorities.indexOf(one) < alertPriorities.indexOf(other);
