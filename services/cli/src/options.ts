import type { Result } from '@tidemark/kernel';
import { parseBrokerUrl } from '@tidemark/mqtt';
import type { BrokerAddress } from '@tidemark/mqtt';
import { defaultPrefix } from '@tidemark/signals';
import { InvalidArgumentError, Option } from 'commander';

/** What an option says, or a mistake that commander reports with the option's name. */
export function asArgument<Value>(read: Result<Value, unknown>, expected: string): Value {
  if (read.ok) return read.value;
  throw new InvalidArgumentError(`${expected}.`);
}

/** `--mqtt`: the broker, with user and password where it asks for them. */
export const mqttOption = (): Option =>
  new Option('--mqtt <url>', 'the broker: mqtt://[user:password@]host[:1883], or mqtts://… for TLS')
    .argParser((text): BrokerAddress =>
      asArgument(parseBrokerUrl(text), 'expected mqtt://[user:password@]host[:port] or mqtts://…'),
    )
    .makeOptionMandatory();

/** `--prefix`: what every topic begins with. */
export const prefixOption = (): Option =>
  new Option('--prefix <topic>', 'what every topic begins with').default(defaultPrefix);
