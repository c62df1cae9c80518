import { speakDuration } from '@tidemark/kernel';
import type { Rule } from '../condition.ts';
import { activeSince, supplyClosed, undisturbedFrom_ms } from '../facts.ts';
import { openSteps } from '../restoration.ts';
import { cautions, listed } from '../wording.ts';

/** An episode goes quiet with steps of the restoration list contradicted or waiting. */
export const incompleteRestoration: Rule = (facts) => {
  const { episode, picture, spans } = facts;
  const free_ms = undisturbedFrom_ms(picture);
  if (!facts.open || episode === undefined || free_ms === undefined) return [];
  if (activeSince(facts, 'waterflow') !== undefined && !supplyClosed(facts)) return [];
  const steps = openSteps(facts);
  if (steps.length === 0) return [];
  const heard = picture.heardBesidesTest ?? episode.begin;
  return [
    {
      code: 'incomplete-restoration',
      occasion: episode.id,
      dueAt_ms: Math.max(heard.receivedAt, free_ms) + spans.quiet_ms + spans.latency_ms,
      severity: 'high',
      evidence: [episode.begin.ref, heard.ref],
      absence: true,
      say: () => ({
        explanation: `Nothing has been heard from this riser for ${speakDuration(spans.quiet_ms)}, and it was not brought back to service. Still open: ${listed(steps.map(({ title }) => title.toLowerCase()))}.`,
        advice:
          'Ask the site whether the crew has left and what was left undone; send somebody to finish, or declare an impairment.',
        caution: cautions.unprotected,
      }),
    },
  ];
};
