import type { z } from 'zod';

/** An issue as zod reports it. */
export type ReportedIssue = z.core.$ZodIssue;

/** One sentence for people about why a value does not fit: where, and what was expected there. */
export function describeIssue(issue: ReportedIssue): string {
  const expected = expectation(issue);
  return issue.path.length === 0
    ? `${expected.slice(0, 1).toUpperCase()}${expected.slice(1)}.`
    : `At ${issue.path.map(String).join('.')}: ${expected}.`;
}

/** Parse with this, so that an issue can say what was found. */
export const reportInput = { reportInput: true } as const;

const expectation = (issue: ReportedIssue): string => {
  switch (issue.code) {
    case 'invalid_type':
      return issue.expected === 'int'
        ? 'expected a whole number'
        : `expected ${issue.expected}, found ${typeName(issue.input)}`;
    case 'invalid_value':
      return issue.message.startsWith('expected') ? issue.message : `expected ${issue.values.map(quoted).join(' or ')}`;
    case 'unrecognized_keys':
      return `expected no member ${issue.keys.map(quoted).join(', ')}`;
    case 'too_small':
      return `expected ${String(issue.minimum)} or more`;
    case 'too_big':
      return `expected ${String(issue.maximum)}${issue.origin === 'string' ? ' characters' : ''} or less`;
    default:
      return issue.message;
  }
};

const quoted = (value: unknown): string => (typeof value === 'string' ? `"${value}"` : String(value));

const typeName = (value: unknown): string => {
  if (value === undefined) return 'nothing';
  if (value === null) return 'null';
  return Array.isArray(value) ? 'array' : typeof value;
};
