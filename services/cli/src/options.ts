import type { Result } from '@tidemark/kernel';
import { InvalidArgumentError } from 'commander';

/** What an option says, or a mistake that commander reports with the option's name. */
export function asArgument<Value>(read: Result<Value, unknown>, expected: string): Value {
  if (read.ok) return read.value;
  throw new InvalidArgumentError(`${expected}.`);
}
