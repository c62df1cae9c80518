import type { RestorationStep } from '@tidemark/api';

/** What stands between the riser and service: not proven, and not confirmed by somebody on site. */
export const isOpen = ({ status, confirmedBy }: RestorationStep): boolean =>
  status !== 'proven' && confirmedBy === undefined;

/** What is to be done first: what is contradicted, since something is wrong with it, else the first open step in order. */
export const stepToDo = (steps: readonly RestorationStep[]): RestorationStep | undefined =>
  steps.find(({ status }) => status === 'contradicted') ?? steps.find(isOpen);

/** The signal awaited next: the earliest deadline, else the first that has none. */
export function awaitedStep(steps: readonly RestorationStep[]): RestorationStep | undefined {
  const awaited = steps.filter(({ status, expects }) => status === 'waiting' && expects !== undefined);
  const dated = awaited.filter(({ by }) => by !== undefined);
  return dated.toSorted((one, other) => (one.by ?? '').localeCompare(other.by ?? ''))[0] ?? awaited[0];
}
