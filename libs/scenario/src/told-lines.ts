import type { Instant, Json, JsonObject } from '@tidemark/kernel';
import { formatInstant, instant, invariant } from '@tidemark/kernel';
import type { RiserKey } from '@tidemark/signals';
import { cloudEventContentType, contactIdContentType, defaultPrefix, topicOf } from '@tidemark/signals';
import type { HeardScenario, TimedStep } from './scenario.ts';
import type { Step } from './step-schema.ts';

/** One line of a replay file, as an object, and when it is received. */
export interface ToldLine {
  readonly receivedAt: Instant;
  readonly json: JsonObject;
}

/**
 * The lines of a replay file (CONTRACT 7.1) that tell a story, in order of receipt: CloudEvents for signals, commands
 * and link messages, recordings for what has no CloudEvent. Lost steps give no line and use up their number.
 */
export function toldLines(scenario: HeardScenario, riser: RiserKey): readonly ToldLine[] {
  const told = { scenario, riser };
  let sequence = 0;
  const lines = scenario.heard.flatMap((timed): readonly ToldLine[] => {
    const numbered = scenario.panel.sequence && saysSignal(timed.step);
    if (numbered) sequence += 1;
    return toldBy(timed, { ...told, sequence: numbered ? sequence : undefined });
  });
  return lines.toSorted((one, other) => one.receivedAt - other.receivedAt);
}

interface Telling {
  readonly scenario: HeardScenario;
  readonly riser: RiserKey;
  readonly sequence: number | undefined;
}

const saysSignal = (step: Step): boolean =>
  'active' in step || 'restored' in step || 'performed' in step || 'reading' in step;

function toldBy(timed: TimedStep, telling: Telling): readonly ToldLine[] {
  const { step } = timed;
  if ('lost' in step && step.lost === true) return [];
  const { begin, panel } = telling.scenario;
  const delay_ms = 'delay' in step ? (step.delay ?? panel.delay) : panel.delay;
  const receipt = instant(begin + timed.at_ms + ('command' in step ? 0 : delay_ms));
  const body = bodyOf(timed, telling);
  const later = 'again' in step ? (step.again ?? []) : [];
  return [0, ...later].map((after_ms) => {
    const receivedAt = instant(receipt + after_ms);
    return { receivedAt, json: { ...body, receivedtime: formatInstant(receivedAt) } };
  });
}

/** What a step says, without the time of its receipt. */
function bodyOf(timed: TimedStep, telling: Telling): JsonObject {
  const { step } = timed;
  if ('command' in step) return commandLine(timed, telling);
  if ('link' in step) return linkLine(timed, telling);
  if ('contactId' in step) return recording(telling, { payload: step.contactId, contentType: contactIdContentType });
  if ('payload' in step)
    return recording(telling, { payload: step.payload, contentType: step.contentType ?? cloudEventContentType });
  if ('bytes' in step)
    return recording(telling, { payloadBase64: step.bytes, contentType: step.contentType ?? cloudEventContentType });
  return signalLine(timed, telling);
}

function signalLine({ step, name, at_ms }: TimedStep, { scenario, riser, sequence }: Telling): JsonObject {
  const { begin, panel } = scenario;
  const own = 'clock' in step ? step.clock : undefined;
  const speaker = 'panel' in step ? step.panel : undefined;
  return {
    ...envelope('riser.signal.v1', { id: ('id' in step ? step.id : undefined) ?? name, riser }),
    source: `/${riser.account}/${speaker ?? panel.name}`,
    time: formatInstant(instant(begin + at_ms + (own ?? panel.clock))),
    ...(sequence === undefined ? {} : { sequence: String(sequence).padStart(10, '0') }),
    data: dataOf(step),
  };
}

const envelope = (type: string, { id, riser }: { readonly id: string; readonly riser: RiserKey }) => ({
  specversion: '1.0',
  id,
  type,
  subject: riser.riser,
});

function dataOf(step: Step): JsonObject {
  const named = definedOnly({
    point: 'point' in step ? step.point : undefined,
    text: 'text' in step ? step.text : undefined,
  });
  if ('active' in step) return { signal: step.active, state: 'active', ...named };
  if ('restored' in step) return { signal: step.restored, state: 'restored', ...named };
  if ('performed' in step) return { signal: step.performed, state: 'performed', ...named };
  invariant('reading' in step, 'what is neither a command nor a link message nor raw is a signal');
  return { signal: step.reading, ...step.value, ...named };
}

function commandLine({ step, name }: TimedStep, { riser }: Telling): JsonObject {
  invariant('command' in step, 'a command line tells a command');
  const { command, forSeconds, expect, kind, reason, finding, step: confirmed } = step;
  return {
    ...envelope('riser.command.v1', { id: step.id ?? name, riser }),
    source: '/station',
    data: definedOnly({ command, forSeconds, expect, kind, reason, finding, step: confirmed }),
  };
}

function linkLine({ step, name, at_ms }: TimedStep, { scenario, riser }: Telling): JsonObject {
  invariant('link' in step, 'a link line tells a link message');
  const time = formatInstant(instant(scenario.begin + at_ms + scenario.panel.clock));
  return {
    ...envelope('riser.link.v1', { id: name, riser }),
    source: `/${riser.account}/${scenario.panel.name}`,
    time,
    data: definedOnly({ link: step.link, session: step.session, time }),
  };
}

const recording = ({ riser }: Telling, message: JsonObject): JsonObject => ({
  topic: topicOf(defaultPrefix, riser, 'signal'),
  ...message,
});

const definedOnly = (value: Readonly<Record<string, Json | undefined>>): JsonObject =>
  Object.fromEntries(Object.entries(value).filter((entry): entry is [string, Json] => entry[1] !== undefined));
