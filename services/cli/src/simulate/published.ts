import type { Instant } from '@tidemark/kernel';
import { formatInstant, instant, parseInstant } from '@tidemark/kernel';
import type { OutgoingMessage } from '@tidemark/mqtt';
import { publicationOf } from '@tidemark/simulator';
import type { Heard, LinkSetup } from '@tidemark/simulator';

/** How a story's time becomes the time of a broker. */
export interface Tempo {
  readonly begin: Instant;
  /** Times the story's clock; every interval is divided by it, those between a panel's stamps included. */
  readonly speed: number;
  readonly prefix: string;
}

/** The message that a panel would send now; undefined for what does not reach a station over MQTT. */
export function published(heard: Heard, sender: LinkSetup, tempo: Tempo): OutgoingMessage | undefined {
  if (heard.topic === 'command') return undefined;
  return publicationOf(tempo.speed === 1 ? heard : hastened(heard, tempo), sender, tempo.prefix);
}

type Sent = Exclude<Heard, { readonly topic: 'command' }>;

function hastened(heard: Sent, { begin, speed }: Tempo): Sent {
  const sooner = (at: Instant): Instant => instant(begin + (at - begin) / speed);
  if (heard.topic === 'link') {
    const { time, ...message } = heard.message;
    return { ...heard, message: time === undefined ? message : { ...message, time: sooner(time) } };
  }
  const stamped = parseInstant(heard.event.time ?? '');
  return stamped.ok ? { ...heard, event: { ...heard.event, time: formatInstant(sooner(stamped.value)) } } : heard;
}
