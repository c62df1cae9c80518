import { fc, test } from '@fast-check/vitest';
import { describe, expect } from 'vitest';
import type { RiserEvent } from '@tidemark/riser';
import { findingCodes, nextDeadline, viewOf } from '@tidemark/reasoning';
import type { ContactName } from '@tidemark/signals';
import { vocabulary } from '@tidemark/signals';
import { callees, dispatchStages, dispatchUnits } from '@tidemark/words';
import { active, at, command, periodicTest, profileWith, reset, restored, signal, tellStory } from './story.ts';

const contacts = [
  ...vocabulary.alarm,
  ...vocabulary.supervisory,
  ...vocabulary.trouble,
  'solenoid',
  'panel-alarm',
  'panel-supervisory',
  'panel-trouble',
  'test-mode',
] as readonly ContactName[];

const seconds = fc.integer({ min: 0, max: 20_000 });

/** Anything a panel, a link or the station may say, in any order and however late. */
const anyEvent: fc.Arbitrary<RiserEvent> = fc.oneof(
  fc
    .tuple(
      seconds,
      fc.constantFrom(...contacts),
      fc.boolean(),
      fc.integer({ min: -400, max: 400 }),
      fc.option(fc.nat(40)),
    )
    .map(([when, name, on, offset, sequence]) =>
      (on ? active : restored)(when, name, { observed: when - offset, ...(sequence === null ? {} : { sequence }) }),
    ),
  seconds.map((when) => reset(when)),
  seconds.map((when) => periodicTest(when)),
  seconds.map((when) => signal(when, { kind: 'act', name: 'silence' })),
  fc
    .tuple(seconds, fc.nat(3_000))
    .map(([when, forSeconds]) => command(when, { command: 'test-begin', forSeconds, expect: ['waterflow'] })),
  seconds.map((when) => command(when, { command: 'test-end' })),
  seconds.map((when) => command(when, { command: 'impairment-begin', kind: 'emergency', reason: 'leak' })),
  seconds.map((when) => command(when, { command: 'impairment-end' })),
  fc
    .tuple(seconds, fc.constantFrom(...findingCodes))
    .map(([when, finding]) => command(when, { command: 'acknowledge', finding })),
  seconds.map((when) => command(when, { command: 'confirm', step: 'drains-closed' })),
  fc
    .tuple(seconds, fc.constantFrom(...findingCodes), fc.integer({ min: 1, max: 30_000 }))
    .map(([when, finding, forSeconds]) => command(when, { command: 'shelve', finding, forSeconds, reason: 'noise' })),
  fc
    .tuple(seconds, fc.constantFrom(...callees), fc.constantFrom('reached', 'not-reached'))
    .map(([when, to, outcome]) => command(when, { command: 'call-recorded', to, outcome })),
  fc
    .tuple(seconds, fc.constantFrom(...dispatchUnits), fc.constantFrom(...dispatchStages))
    .map(([when, unit, stage]) => command(when, { command: 'dispatch-recorded', unit, stage })),
  fc.tuple(seconds, fc.constantFrom('up', 'down')).map(([when, link]): RiserEvent => ({
    type: 'link-reported',
    id: `l${when}`,
    receivedAt: at(when),
    link: link,
  })),
);

const anyStory = fc
  .array(anyEvent, { maxLength: 60 })
  .map((events) => events.toSorted((one, other) => one.receivedAt - other.receivedAt));

const profiles = [
  profileWith(),
  profileWith('panel: { restorals: reset, supervisoryRestorals: reset, releaseDelaySeconds: 30 }'),
  profileWith('trim: { alarmTestSource: downstream, primeValveClosedForRestoration: true, manualReset: true }'),
];
const runs = { numRuns: 150, seed: 20_261_125 };

describe('any story whatever', () => {
  test.prop([anyStory, fc.constantFrom(...profiles)], runs)(
    'is told, and each finding is raised once before it is updated or cleared',
    (events, profile) => {
      const told = tellStory(profile, events, 200_000);

      const open = new Set<string>();
      for (const { id, status, explanation, evidence, causes } of told.findings) {
        expect(open.has(id)).toBe(status !== 'raised');
        expect(explanation).not.toBe('');
        expect(evidence.length).toBeGreaterThan(0);
        expect(causes.reduce((sum, { probability }) => sum + probability, 0)).toBeLessThanOrEqual(1.0001);
        if (status === 'cleared') open.delete(id);
        else open.add(id);
      }
      expect(open.size).toBe(told.standing.length);
    },
  );

  test.prop([anyStory, fc.constantFrom(...profiles)], runs)(
    'is told alike in whatever slices the clock is asked',
    (events, profile) => {
      const sliced = events.flatMap((event): readonly RiserEvent[] => [
        { type: 'time-reached', id: 'before', receivedAt: at((event.receivedAt - at(0)) / 1_000) },
        event,
      ]);

      expect(tellStory(profile, sliced, 30_000).outputs).toEqual(tellStory(profile, events, 30_000).outputs);
    },
  );

  test.prop([anyStory, fc.constantFrom(...profiles)], runs)(
    'can be looked at, and the clock always moves on',
    (events, profile) => {
      const { twin } = tellStory(profile, events);

      const next = nextDeadline(twin);
      expect(next === undefined || next > twin.riser.now).toBe(true);
      const view = viewOf(twin, twin.riser.now);
      for (const { certainty } of view.positions) expect(certainty >= 0 && certainty <= 1).toBe(true);
      expect(view.episode?.headline).not.toBe('');
    },
  );

  test.prop([anyStory, fc.constantFrom(...profiles)], runs)(
    'has an alert for every finding and every standing signal that needs a person, in the state both say',
    (events, profile) => {
      const { twin } = tellStory(profile, events);
      const { alerts, findings, points } = viewOf(twin, twin.riser.now);

      for (const { id, alertState, severity } of findings) {
        const own = alerts.filter(({ finding, active: stands }) => finding === id && stands);
        expect(own.map(({ state, class: alertClass }) => [state, alertClass])).toEqual([[alertState, severity]]);
      }
      const needsPerson = new Set<string>([...vocabulary.alarm, ...vocabulary.supervisory, ...vocabulary.trouble]);
      const standing = points.filter(
        ({ state, signal: name }) => state !== 'restored' && state !== 'never-seen' && needsPerson.has(name),
      );
      expect(
        alerts.filter(({ finding, active: stands, name }) => finding === undefined && stands && needsPerson.has(name)),
      ).toHaveLength(standing.length);
      for (const { class: alertClass, state } of alerts)
        if (alertClass === 'alarm' || alertClass === 'critical') expect(state).not.toBe('shelved');
    },
  );
});
