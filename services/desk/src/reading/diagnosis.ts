import type { Diagnosis, EventReference, RiserKey } from '@tidemark/api';
import { recordMoments } from '@tidemark/api';
import type { JournalReader } from '@tidemark/journal';
import { streamName } from '@tidemark/journal';
import type { Instant } from '@tidemark/kernel';
import { formatInstant } from '@tidemark/kernel';
import type { Argument, ArguedGroup } from '@tidemark/reasoning';
import { diagnosisOf, viewOf } from '@tidemark/reasoning';
import { decodeRiserEvent } from '@tidemark/riser';
import type { PastTwin } from '../past-view.ts';

/** The reasoning of a moment, with the moments that there are in the whole record. */
export async function diagnosisOnTheWire(
  journal: Pick<JournalReader, 'readStream'>,
  { account, riser }: RiserKey,
  { twin, at }: PastTwin,
): Promise<Diagnosis> {
  const codes = new Map(viewOf(twin, at).findings.map(({ id, code }) => [id, code]));
  const findings = diagnosisOf(twin, at).flatMap(({ finding, groups }) => {
    const code = codes.get(finding);
    return code === undefined ? [] : [{ finding, code, groups: groups.map(groupOnTheWire) }];
  });
  const receipts = await receiptsOf(journal, { account, riser });
  return { account, riser, asOf: formatInstant(at), findings, record: recordAround(receipts, at) };
}

const groupOnTheWire = (group: ArguedGroup): Diagnosis['findings'][number]['groups'][number] => ({
  causes: [...group.causes],
  probability: group.probability,
  for: group.for.map(argumentOnTheWire),
  against: group.against.map(argumentOnTheWire),
  check: group.check,
  checkId: group.checkId,
  outcomes: group.outcomes.map(({ found, means }) => ({ found, means: [...means] })),
});

const argumentOnTheWire = ({ says, evidence }: Argument) => ({
  says,
  evidence: evidence.map(({ id, what, at }): EventReference => ({ id, what, at: formatInstant(at) })),
});

/** When something was received, oldest first, each moment once. Deadlines that fell due are no receipts. */
async function receiptsOf(
  journal: Pick<JournalReader, 'readStream'>,
  { account, riser }: RiserKey,
): Promise<readonly Instant[]> {
  const moments = new Set<Instant>();
  for await (const recorded of journal.readStream(streamName('riser', account, riser))) {
    const decoded = decodeRiserEvent(recorded);
    if (decoded.ok && decoded.value.type !== 'time-reached') moments.add(decoded.value.receivedAt);
  }
  return [...moments].toSorted((one, other) => one - other);
}

/** A long record is shown by evenly chosen moments, its first and last among them; stepping reaches every one. */
export function recordAround(receipts: readonly Instant[], at: Instant): Diagnosis['record'] {
  const chosen =
    receipts.length <= recordMoments
      ? receipts
      : Array.from({ length: recordMoments }, (_none, index) =>
          Math.round((index * (receipts.length - 1)) / (recordMoments - 1)),
        ).flatMap((index) => receipts.slice(index, index + 1));
  const before = receipts.findLast((each) => each < at);
  const after = receipts.find((each) => each > at);
  return {
    events: receipts.length,
    moments: chosen.map(formatInstant),
    ...(before === undefined ? {} : { before: formatInstant(before) }),
    ...(after === undefined ? {} : { after: formatInstant(after) }),
  };
}
