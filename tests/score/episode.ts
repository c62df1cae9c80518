import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { parseInstant } from '@tidemark/kernel';
import type { Instant } from '@tidemark/kernel';
import { causeIds, findingCodes } from '@tidemark/reasoning';
import { parseProfile } from '@tidemark/riser';
import type { Profile } from '@tidemark/riser';
import { z } from 'zod';

const moment = z.string().transform((text, context): Instant => {
  const at = parseInstant(text);
  if (at.ok) return at.value;
  context.addIssue({ code: 'custom', message: 'expected an RFC 3339 time' });
  return z.NEVER;
});

/** The label of a log, `ID.truth.json`: what was done to the riser, and which codes (CONTRACT 5.3) that makes true. */
export const truthFile = z.strictObject({
  /** Nothing is ever fitted on the test part. */
  part: z.enum(['tuning', 'test']),
  /** What it is, in a line. */
  story: z.string(),
  /** Until when the clock runs on. */
  until: moment,
  injected: z.array(z.strictObject({ cause: z.enum(causeIds), at: moment })),
  /** Codes whose condition the truth meets, each with the time in which it must be raised. */
  meets: z.array(z.strictObject({ code: z.enum(findingCodes), from: moment, to: moment })),
  /** Codes that the contract leaves open for this story: neither asked for nor held against anybody. */
  may: z.array(z.enum(findingCodes)),
});

/** What is true of a log. */
export type Truth = z.output<typeof truthFile>;

/** A labelled log: what was heard, what is installed, and what is true. */
export interface LabelledEpisode {
  readonly id: string;
  /** The path of the log. */
  readonly log: string;
  readonly profile: Profile;
  readonly truth: Truth;
}

/** Reads every `ID.ndjson` of a directory with its `ID.riser.yaml` and `ID.truth.json`; throws, naming the file, on a mistake. */
export function readEpisodes(directory: string): readonly LabelledEpisode[] {
  const ids = readdirSync(directory)
    .filter((name) => name.endsWith('.ndjson'))
    .map((name) => name.slice(0, -'.ndjson'.length))
    .sort();
  if (ids.length === 0) throw new Error(`${directory} holds no *.ndjson`);
  return ids.map((id) => {
    const read = (ending: string): string => readFileSync(join(directory, `${id}${ending}`), 'utf8');
    const profile = parseProfile(read('.riser.yaml'), `${id}.riser.yaml`);
    if (!profile.ok) throw new Error(`${id}.riser.yaml: ${JSON.stringify(profile.failure)}`);
    const truth = truthFile.safeParse(JSON.parse(read('.truth.json')));
    if (!truth.success) throw new Error(`${id}.truth.json: ${z.prettifyError(truth.error)}`);
    return { id, log: join(directory, `${id}.ndjson`), profile: profile.value, truth: truth.data };
  });
}
