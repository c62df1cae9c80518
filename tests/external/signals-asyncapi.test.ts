import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { asyncApiDocument } from '@tidemark/signals';
import { describe, expect, it } from 'vitest';

const checkedIn = readFileSync(new URL('../../libs/signals/asyncapi.json', import.meta.url), 'utf8');
const parser = fileURLToPath(new URL('signals-asyncapi-parser.mjs', import.meta.url));

interface Parsed {
  readonly problems: readonly string[];
  readonly addresses: readonly string[];
  readonly operations: readonly (readonly [string, string])[];
}

const parse = (text: string): Parsed =>
  JSON.parse(execFileSync(process.execPath, [parser], { input: text, encoding: 'utf8', timeout: 25_000 })) as Parsed;

describe('asyncapi.json, read by the AsyncAPI project’s own parser', () => {
  it('is valid without a warning, with its channels and who does what on them', () => {
    expect(parse(checkedIn)).toEqual({
      problems: [],
      addresses: ['signal', 'link', 'contact', 'output', 'state', 'finding'].map(
        (last) => `risers/v1/{account}/{riser}/${last}`,
      ),
      operations: [
        ['receiveSignal', 'receive'],
        ['receiveLink', 'receive'],
        ['sendState', 'send'],
        ['sendFinding', 'send'],
      ],
    });
  });

  it('is refused once an operation names no channel, so the parser does look', () => {
    const broken = { ...asyncApiDocument(), operations: { receiveSignal: { action: 'receive' } } };

    expect(parse(JSON.stringify(broken)).problems.join()).toContain('channel');
  });
});
