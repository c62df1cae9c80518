import type { Alert } from '@tidemark/api';

type OwedDuty = Alert['duties'][number];

/** One thing to be done, for every alert that it is owed to: a call or a dispatch serves them all. */
export interface JointDuty {
  readonly duty: OwedDuty['duty'];
  readonly title: string;
  /** The earliest deadline among them. */
  readonly dueAt: string;
  readonly source: OwedDuty['source'];
  readonly alerts: readonly Alert[];
}

/** What can be done now or should have been, the next due first. */
export function dutiesOf(alerts: readonly Alert[]): readonly JointDuty[] {
  const joint = new Map<OwedDuty['duty'], JointDuty>();
  for (const alert of alerts)
    for (const { duty, title, dueAt, state, source } of alert.duties) {
      if (state !== 'open' && state !== 'overdue') continue;
      const known = joint.get(duty);
      joint.set(duty, {
        duty,
        title,
        source,
        ...(known !== undefined && known.dueAt < dueAt ? { dueAt: known.dueAt, source: known.source } : { dueAt }),
        alerts: [...(known?.alerts ?? []), alert],
      });
    }
  return [...joint.values()].toSorted((one, other) => one.dueAt.localeCompare(other.dueAt));
}
