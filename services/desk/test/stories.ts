import type { Instant } from '@tidemark/kernel';
import type {
  AlertView,
  DutyView,
  Finding,
  PointView,
  PositionView,
  RestorationStep,
  RiserView,
} from '@tidemark/reasoning';

/** A moment so many seconds after the beginning of the invented story. */
export const at = (second: number): Instant => (1_772_434_800_000 + second * 1_000) as Instant;

/** A riser in service whose every part is known; a test changes what it is about. */
export const inService = (change: Partial<RiserView> = {}): RiserView => ({
  account: 'quayside-cold-store',
  riser: 'deluge-1',
  site: { name: 'Quayside cold store', timeZone: 'Europe/Oslo' },
  phase: 'in-service',
  phaseSince: at(0),
  asOf: at(0),
  points: [],
  readings: [],
  positions: [position('supply-valve', 'open'), position('clapper', 'shut')],
  episode: undefined,
  restoration: [],
  findings: [],
  alerts: [],
  actions: [],
  link: { state: 'up', since: undefined, lastHeardAt: at(0), clockOffset_ms: undefined },
  test: undefined,
  impairment: undefined,
  counts: { signals: 0, repeats: 0 },
  ...change,
});

/** An inferred position. */
export function position(element: PositionView['element'], words: string, certainty = 0.9): PositionView {
  return { element, position: words, certainty, why: '', evidence: [] };
}

/** A point that is active. */
export const active = (signal: PointView['signal']): PointView => ({
  point: undefined,
  signal,
  label: signal,
  state: 'active',
  since: at(0),
  heardAt: at(0),
  heardReceivedAt: at(0),
  fresh: true,
});

/** A finding that stands and that nobody has answered. */
export const finding = (change: Partial<Finding> = {}): Finding => ({
  id: 'f',
  code: 'flow-with-supply-closed',
  riser: 'quayside-cold-store/deluge-1',
  severity: 'critical',
  status: 'raised',
  alertState: 'unacknowledged',
  at: at(0),
  raisedAt: at(0),
  evidence: [],
  explanation: '',
  causes: [],
  advice: '',
  caution: '',
  ...change,
});

/** A step of the restoration list. */
export const step = (change: Partial<RestorationStep>): RestorationStep => ({
  step: 'low-points-drained',
  title: 'Low points drained',
  status: 'waiting',
  detail: '',
  evidence: [],
  ...change,
});

/** An alert that stands, that nobody has answered, and that owes nothing else. */
export const alert = (change: Partial<AlertView> = {}): AlertView => ({
  id: 'a',
  class: 'trouble',
  name: 'battery',
  label: 'Battery',
  finding: undefined,
  state: 'unacknowledged',
  active: true,
  priority: 'medium',
  level: 0,
  escalatedTo: undefined,
  awaitsAnswer: true,
  raisedAt: at(0),
  returnedAt: undefined,
  activations: 1,
  acknowledged: undefined,
  shelving: undefined,
  aside: undefined,
  shelvingLimit_s: 0,
  duties: [],
  ...change,
});

/** One thing owed. */
export const duty = (change: Partial<DutyView>): DutyView => ({
  duty: 'retransmit',
  title: 'Retransmit it to the fire service',
  state: 'open',
  opensAt: at(0),
  dueAt: at(90),
  fulfilled: undefined,
  source: { text: '', certainty: 'found' },
  ...change,
});
