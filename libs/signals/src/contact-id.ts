import { fail, formatInstant, ok } from '@tidemark/kernel';
import type { Instant, Result } from '@tidemark/kernel';
import { formatBlock, parseBlock } from './contact-id-block.ts';
import type { BlockFailure, ContactIdBlock, Qualifier } from './contact-id-block.ts';
import { codeOf, meaningOf, whyUnmapped } from './contact-id-codes.ts';
import type { CodeMeaning } from './contact-id-codes.ts';
import type { Installed } from './installed.ts';
import { refusal } from './rejection.ts';
import type { Refusal } from './rejection.ts';
import type { RiserKey, Signal, SignalContent } from './signal.ts';
import { classOf, isAct, isReading } from '@tidemark/words';
import type { SignalName } from '@tidemark/words';

interface Receipt {
  readonly key: RiserKey;
  readonly installed: Installed;
  readonly receivedAt: Instant;
}

/**
 * Reads a Contact ID block as the signal of the riser whose topic it came on. The form has no clock and no identity:
 * `observedAt` is left out, and the id is receipt time and digits, so reading the same record again gives the same
 * id. Two equal blocks in the same millisecond are one signal; the second could change nothing.
 */
export function readContactId(text: string, { key, installed, receivedAt }: Receipt): Result<Signal, Refusal> {
  const block = parseBlock(text);
  if (!block.ok) return fail(malformed(block.failure));
  const expected = installed.contactIdAccount?.toUpperCase().replaceAll('A', '0');
  if (expected !== undefined && expected !== block.value.account)
    return fail(
      refusal('wrong-account', `The account is ${block.value.account}; expected ${expected}, as the profile says.`),
    );
  const meaning = meaningOf(block.value.code);
  if (meaning === undefined)
    return fail(
      refusal('code-not-mapped', `Event code ${block.value.code} is not mapped: ${whyUnmapped(block.value.code)}.`),
    );
  const name = signalMeant(meaning, block.value.zone, installed);
  const content = contentOf(name, block.value.qualifier);
  if (content === undefined) return fail(restoralOfAnAct(block.value, name));
  const normal = formatBlock(block.value);
  return ok({
    key,
    source: `/${key.account}/${key.riser}`,
    id: `contact-id ${formatInstant(receivedAt)} ${normal}`,
    observedAt: undefined,
    sequence: undefined,
    point: block.value.zone === 0 || classOf(name) === 'panel' ? undefined : block.value.zone,
    text: `Contact ID ${normal}`,
    content,
    form: 'contact-id',
  });
}

function malformed(failure: BlockFailure): Refusal {
  switch (failure) {
    case 'not-sixteen-digits':
      return refusal('malformed-contact-id', 'Expected sixteen digits 0-9, B-F in the layout ACCT MT QXYZ GG CCC S.');
    case 'wrong-checksum':
      return refusal(
        'wrong-checksum',
        'The checksum S does not fit: with 0 as 10, all digits must add up to a multiple of 15.',
      );
    case 'unknown-message-type':
      return refusal('malformed-contact-id', 'At MT: expected 18 or 98.');
    case 'unknown-qualifier':
      return refusal('malformed-contact-id', 'At Q: expected 1 (new), 3 (restored) or 6 (still present).');
    case 'zone-not-decimal':
      return refusal('malformed-contact-id', 'At CCC: expected three decimal digits.');
  }
}

/** The point list first; then the only installed signal the code can mean; then the code's own. */
function signalMeant({ classes, signals }: CodeMeaning, zone: number, installed: Installed): SignalName {
  const listed = installed.points.find(({ point }) => point === zone)?.signal;
  if (listed !== undefined && classes.includes(classOf(listed))) return listed;
  const possible = new Set(installed.points.map(({ signal }) => signal).filter((name) => signals.includes(name)));
  const [only] = possible;
  return only !== undefined && possible.size === 1 ? only : signals[0];
}

/** What a qualifier makes of a signal; `undefined` where it makes no sense, as with the restoral of an act. */
function contentOf(name: SignalName, qualifier: Qualifier): SignalContent | undefined {
  if (isReading(name)) return undefined;
  if (name === 'periodic-test') return qualifier === 1 ? { kind: 'periodic-test', name } : undefined;
  if (isAct(name)) return qualifier === 1 ? { kind: 'act', name } : undefined;
  return { kind: 'contact', name, state: qualifier === 3 ? 'restored' : 'active' };
}

const restoralOfAnAct = ({ qualifier, code }: ContactIdBlock, name: SignalName): Refusal =>
  refusal(
    'code-not-mapped',
    `Event code ${code} is "${name}", which happens and does not last; qualifier ${qualifier} says nothing about it, expected 1.`,
  );

/** What to write as a Contact ID block. */
export interface ContactIdMessage {
  /** Four digits 0-9, B-F. */
  readonly account: string;
  readonly content: SignalContent;
  /** 1 to 999; left out for the panel's own signals. */
  readonly point?: number;
}

/** Why a signal cannot be said in Contact ID. */
export type ContactIdFailure = 'no-event-code' | 'malformed-account' | 'point-out-of-range';

/**
 * Writes a signal as a Contact ID block, for those signals that DC-05 has a code for. Some share a code (all valves
 * 203, both pressures 201, the solenoid 110); the receiver tells them apart by the point.
 */
export function formatContactId({ account, content, point }: ContactIdMessage): Result<string, ContactIdFailure> {
  const code = codeOf[content.name];
  if (code === undefined) return fail('no-event-code');
  if (!/^[0-9B-F]{4}$/.test(account)) return fail('malformed-account');
  if (point !== undefined && !(Number.isInteger(point) && point >= 1 && point <= 999))
    return fail('point-out-of-range');
  const qualifier = content.kind === 'contact' && content.state === 'restored' ? 3 : 1;
  return ok(formatBlock({ account, qualifier, code, partition: '01', zone: point ?? 0 }));
}
