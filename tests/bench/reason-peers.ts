import { defaultFigures, predictWindows } from '@tidemark/hydraulics';
import type { Instant } from '@tidemark/kernel';
import type { RiserEvent } from '@tidemark/riser';
import type { ContactName } from '@tidemark/signals';
import { Engine } from 'json-rules-engine';
import { assign, createActor, setup } from 'xstate';

/*
 * What the peers carry, of some thirty codes: waterflow that begins while the supply valve is closed, a reset before
 * the alarm points had restored, a release that no waterflow follows within its window, with its deadline, and five
 * phases. They carry no evidence, no words, no causes, no order of late signals, no alerts.
 */

/** Raised by a peer. */
export type PeerCode = 'flow-with-supply-closed' | 'reset-before-clear' | 'release-without-flow';

/** The longest time from the release to the waterflow of the default riser, the panel's scan and the latency included. */
const releaseWindow_ms = Math.round((predictWindows(defaultFigures).releaseToWaterflow.max_s + 1 + 10) * 1_000);

const alarmPoints: ReadonlySet<ContactName> = new Set<ContactName>(['manual-pull', 'heat', 'waterflow']);

/** One riser, its state kept beside the general-purpose rule engine, which keeps none. */
export interface RuleEngineRiser {
  readonly active: Set<ContactName>;
  readonly raised: Set<PeerCode>;
  releasedAt: Instant | undefined;
  flowed: boolean;
  phase: string;
}

export const ruleEngineRiser = (): RuleEngineRiser => ({
  active: new Set(),
  raised: new Set(),
  releasedAt: undefined,
  flowed: false,
  phase: 'in-service',
});

const is = (fact: string, value: unknown): { fact: string; operator: string; value: unknown } => ({
  fact,
  operator: 'equal',
  value,
});

const engine = new Engine(
  [
    {
      event: { type: 'flow-with-supply-closed' },
      conditions: { all: [is('flow', true), is('flowBegan', true), is('supplyClosed', true)] },
    },
    { event: { type: 'reset-before-clear' }, conditions: { all: [is('act', 'reset'), is('alarms', true)] } },
    {
      event: { type: 'release-without-flow' },
      conditions: {
        all: [
          is('released', true),
          is('flowed', false),
          is('supplyClosed', false),
          { fact: 'sinceRelease_ms', operator: 'greaterThanInclusive', value: releaseWindow_ms },
        ],
      },
    },
    { event: { type: 'phase', params: { phase: 'flowing' } }, priority: 5, conditions: { all: [is('flow', true)] } },
    {
      event: { type: 'phase', params: { phase: 'released' } },
      conditions: { all: [is('released', true), is('flow', false)] },
    },
    {
      event: { type: 'phase', params: { phase: 'alarm' } },
      conditions: { all: [is('alarms', true), is('released', false), is('flow', false)] },
    },
    {
      event: { type: 'phase', params: { phase: 'impaired' } },
      conditions: { all: [is('offNormal', true), is('alarms', false), is('released', false)] },
    },
    {
      event: { type: 'phase', params: { phase: 'in-service' } },
      conditions: { all: [is('offNormal', false), is('alarms', false), is('released', false)] },
    },
  ],
  { allowUndefinedFacts: true },
);

/** Has the rule engine judge one event; answers the codes that came to be raised. */
export async function askRuleEngine(riser: RuleEngineRiser, event: RiserEvent): Promise<readonly PeerCode[]> {
  const { active } = riser;
  const flowedBefore = active.has('waterflow');
  const content = event.type === 'signal-received' ? event.content : undefined;
  if (content?.kind === 'contact') {
    if (content.state === 'active') active.add(content.name);
    else active.delete(content.name);
    if (content.name === 'solenoid') {
      riser.releasedAt = content.state === 'active' ? event.receivedAt : undefined;
      riser.flowed = false;
    }
    if (content.name === 'waterflow' && content.state === 'active') riser.flowed = true;
  }
  const { events } = await engine.run({
    act: content?.kind === 'act' ? content.name : 'none',
    flow: active.has('waterflow'),
    flowBegan: active.has('waterflow') && !flowedBefore,
    supplyClosed: active.has('supply-valve'),
    alarms: [...active].some((name) => alarmPoints.has(name)),
    released: riser.releasedAt !== undefined,
    flowed: riser.flowed,
    offNormal: active.size > 0,
    sinceRelease_ms: riser.releasedAt === undefined ? 0 : event.receivedAt - riser.releasedAt,
  });
  const codes: PeerCode[] = [];
  for (const { type, params } of events) {
    if (type === 'phase') riser.phase = String(params?.['phase']);
    else if (!riser.raised.has(type as PeerCode)) codes.push(type as PeerCode);
  }
  riser.raised.clear();
  for (const { type } of events) if (type === 'release-without-flow') riser.raised.add(type);
  return codes;
}

interface MachineContext {
  readonly active: ReadonlySet<ContactName>;
  readonly codes: readonly PeerCode[];
  readonly flowed: boolean;
}

type MachineEvent =
  | { readonly type: 'contact'; readonly name: ContactName; readonly state: 'active' | 'restored' }
  | { readonly type: 'act'; readonly name: string }
  | { readonly type: 'other' };

const raise = (code: PeerCode) => ({ type: 'raise', params: { code } }) as const;

const machine = setup({
  types: { context: {} as MachineContext, events: {} as MachineEvent },
  delays: { window: releaseWindow_ms },
  guards: {
    flowing: ({ context }) => context.active.has('waterflow'),
    released: ({ context }) => context.active.has('solenoid'),
    alarm: ({ context }) => [...context.active].some((name) => alarmPoints.has(name)),
    offNormal: ({ context }) => context.active.size > 0,
    flowIntoClosed: ({ context, event }) =>
      event.type === 'contact' &&
      event.name === 'waterflow' &&
      event.state === 'active' &&
      !context.active.has('waterflow') &&
      context.active.has('supply-valve'),
    early: ({ context, event }) =>
      event.type === 'act' && event.name === 'reset' && [...context.active].some((name) => alarmPoints.has(name)),
    dry: ({ context }) => !context.flowed && !context.active.has('supply-valve'),
  },
  actions: {
    raise: assign(({ context }, { code }: { readonly code: PeerCode }) => ({ codes: [...context.codes, code] })),
    move: assign(({ context, event }) => {
      if (event.type !== 'contact') return {};
      const active = new Set(context.active);
      if (event.state === 'active') active.add(event.name);
      else active.delete(event.name);
      const flowed =
        event.name === 'solenoid' ? false : context.flowed || (event.name === 'waterflow' && event.state === 'active');
      return { active, flowed };
    }),
  },
}).createMachine({
  context: { active: new Set(), codes: [], flowed: false },
  type: 'parallel',
  on: {
    contact: [{ guard: 'flowIntoClosed', actions: [raise('flow-with-supply-closed'), 'move'] }, { actions: 'move' }],
    act: { guard: 'early', actions: raise('reset-before-clear') },
  },
  states: {
    phase: {
      initial: 'in-service',
      states: {
        'in-service': {
          always: [
            { guard: 'flowing', target: 'flowing' },
            { guard: 'released', target: 'released' },
            { guard: 'alarm', target: 'alarm' },
            { guard: 'offNormal', target: 'impaired' },
          ],
        },
        impaired: {
          always: [
            { guard: 'flowing', target: 'flowing' },
            { guard: 'released', target: 'released' },
            { guard: 'alarm', target: 'alarm' },
            { guard: ({ context }) => context.active.size === 0, target: 'in-service' },
          ],
        },
        alarm: {
          always: [
            { guard: 'flowing', target: 'flowing' },
            { guard: 'released', target: 'released' },
            {
              guard: ({ context }) => ![...context.active].some((name) => alarmPoints.has(name)),
              target: 'in-service',
            },
          ],
        },
        released: {
          always: [
            { guard: 'flowing', target: 'flowing' },
            { guard: ({ context }) => !context.active.has('solenoid'), target: 'in-service' },
          ],
        },
        flowing: { always: { guard: ({ context }) => !context.active.has('waterflow'), target: 'in-service' } },
      },
    },
    release: {
      initial: 'at-rest',
      states: {
        'at-rest': { always: { guard: 'released', target: 'energized' } },
        energized: {
          after: { window: { guard: 'dry', actions: raise('release-without-flow') } },
          always: { guard: ({ context }) => !context.active.has('solenoid'), target: 'at-rest' },
        },
      },
    },
  },
});

/** One riser as a machine, on a clock that moves with its events. */
export interface MachineRiser {
  readonly tell: (event: RiserEvent) => void;
  readonly codes: () => readonly PeerCode[];
}

export function machineRiser(): MachineRiser {
  const timers = new Map<number, { readonly at_ms: number; readonly ring: () => void }>();
  let now_ms = 0;
  let count = 0;
  const clock = {
    setTimeout: (ring: () => void, delay_ms: number): number => {
      timers.set((count += 1), { at_ms: now_ms + delay_ms, ring });
      return count;
    },
    clearTimeout: (id: number): void => void timers.delete(id),
  };
  const actor = createActor(machine, { clock }).start();
  return {
    tell: (event) => {
      for (const [id, { at_ms, ring }] of timers) {
        if (at_ms > event.receivedAt) continue;
        timers.delete(id);
        ring();
      }
      now_ms = event.receivedAt;
      if (event.type !== 'signal-received') return;
      const { content } = event;
      if (content.kind === 'contact') actor.send({ type: 'contact', name: content.name, state: content.state });
      else actor.send(content.kind === 'act' ? { type: 'act', name: content.name } : { type: 'other' });
    },
    codes: () => actor.getSnapshot().context.codes,
  };
}
