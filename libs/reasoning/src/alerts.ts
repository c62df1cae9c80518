import type { Alert, AlertBook, AlertChoice, AlertCommand, AlertPolicy, Handled } from '@tidemark/alerting';
import { chosen, handle, isActive, isLatched, nextDeadline, passTime, policyWith, stateOf } from '@tidemark/alerting';
import type { Instant } from '@tidemark/kernel';
import type { AlertTarget, Picture, PointState, Profile, RiserCommand, RiserEvent } from '@tidemark/riser';
import { runOn } from '@tidemark/riser';
import type { AlertState } from '@tidemark/words';
import { alertClassOf, alertKeyOf, asideOf, subjectOf } from './alert-subjects.ts';
import type { Finding } from './finding.ts';
import type { Ledger } from './ledger.ts';
import type { Output, Twin } from './twin.ts';

/** The alerts of a riser, and the picture they were last compared with. */
export interface Alerts {
  readonly book: AlertBook;
  /** Only spares a comparison; never stored. */
  readonly seen: Picture | undefined;
}

/** What of a twin the alerts are about. */
type Alerted = Pick<Twin, 'alerts' | 'ledger' | 'riser'>;

const policies = new WeakMap<Profile, AlertPolicy>();

/** What a riser's profile says of alerts, over the defaults. */
export function policyOf(profile: Profile): AlertPolicy {
  const known = policies.get(profile);
  if (known !== undefined) return known;
  const policy = policyWith(profile.alerting);
  policies.set(profile, policy);
  return policy;
}

/** When an alert next changes though nothing is heard. */
export const nextAlertDeadline = ({ alerts, riser }: Pick<Alerted, 'alerts' | 'riser'>): Instant | undefined =>
  nextDeadline(alerts.book, policyOf(riser.profile));

/** A book in the making, with what happened in it. */
class Writing {
  readonly #policy: AlertPolicy;
  #handled: Handled;

  constructor(book: AlertBook, policy: AlertPolicy) {
    this.#policy = policy;
    this.#handled = { book, events: [] };
  }

  get book(): AlertBook {
    return this.#handled.book;
  }

  pass(now: Instant): void {
    this.#add(passTime(this.book, now, this.#policy));
  }

  ask(command: AlertCommand): void {
    this.#add(handle(this.book, command, this.#policy));
  }

  #add({ book, events }: Handled): void {
    this.#handled = { book, events: events.length === 0 ? this.#handled.events : [...this.#handled.events, ...events] };
  }

  outputs(): readonly Output[] {
    return this.#handled.events.map((event) => ({ type: 'alert', event }));
  }
}

/** What the alerts came to, with the findings that carry their states. */
export interface AlertsTold {
  readonly alerts: Alerts;
  readonly ledger: Ledger;
  readonly outputs: readonly Output[];
}

/** Brings the alerts to a moment: time passes, findings come and go, signals stand or do not. */
export function followAlerts(twin: Alerted, findings: readonly Finding[], now: Instant): AlertsTold {
  const { alerts, riser } = twin;
  const writing = new Writing(alerts.book, policyOf(riser.profile));
  writing.pass(now);
  const picture = runOn(riser.picture, now);
  if (!looksAlike(alerts.seen, picture)) compareSignals(writing, picture, now);
  for (const finding of findings) follow(writing, finding, now);
  return written(twin, writing, { findings, now, seen: picture });
}

/** Lets a person's command act on the alerts, at the moment at which it was given. */
export function answerAlerts(twin: Alerted, event: RiserEvent, now: Instant): AlertsTold {
  const writing = new Writing(twin.alerts.book, policyOf(twin.riser.profile));
  if (event.type === 'command-given') command(writing, { ...event, now }, twin);
  else if (event.type === 'signal-received') pulse(writing, event, { picture: twin.riser.picture, now });
  return written(twin, writing, { findings: [], now, seen: twin.alerts.seen });
}

/** What bears on alerts is the same. */
const looksAlike = (seen: Picture | undefined, picture: Picture): boolean =>
  seen?.active === picture.active &&
  seen.profile === picture.profile &&
  seen.tests === picture.tests &&
  seen.impairments === picture.impairments &&
  seen.resetOwed === picture.resetOwed &&
  seen.episode?.releases === picture.episode?.releases &&
  seen.episode?.primeBack === picture.episode?.primeBack &&
  seen.episode?.end === picture.episode?.end;

/** Asks only where something differs: most signals change one point of many. */
function compareSignals(writing: Writing, picture: Picture, now: Instant): void {
  const known = new Map([...writing.book.values()].map((alert) => [alert.key, alert]));
  const standing = new Set<string>();
  for (const point of picture.points) {
    const subject = point.state === 'active' ? subjectOf(point.key, point) : undefined;
    if (subject === undefined) continue;
    const { key } = subject;
    standing.add(key);
    const alert = known.get(key);
    const aside = asideOf(picture, point, now);
    if (alert === undefined || !isActive(alert.life)) {
      const id = alertIdOf(picture.profile, point, now);
      writing.ask({ type: 'condition-began', id, subject, aside, at: now });
    } else if (aside !== undefined && aside.as !== alert.aside?.as)
      writing.ask({ type: 'set-aside', key, aside, at: now });
    else if (aside === undefined && alert.aside !== undefined) writing.ask({ type: 'take-back', key, at: now });
  }
  for (const alert of known.values())
    if (alert.key.startsWith(alertKeyOf('')) && !standing.has(alert.key)) restores(writing, alert, { picture, now });
}

interface Seen {
  readonly picture: Picture;
  readonly now: Instant;
}

/** What no longer stands has returned; a reset lets go of what its panel held. */
function restores(writing: Writing, { key, life, aside }: Alert, { picture, now }: Seen): void {
  if (isActive(life)) writing.ask({ type: 'condition-ended', key, at: now });
  const point = picture.points.find((each) => alertKeyOf(each.key) === key);
  const isStillAside = point !== undefined && asideOf(picture, point, now) !== undefined;
  if (aside !== undefined && !isStillAside) writing.ask({ type: 'take-back', key, at: now });
  if ((isActive(life) || isLatched(life)) && !picture.resetOwed) writing.ask({ type: 'latch-released', key, at: now });
}

const alertIdOf = ({ account, riser }: Profile, { signal, key }: PointState, at: Instant): string =>
  `${account}/${riser}/${signal}/${key}/${at}`;

/** A signal that came after its own restoral moved no point; it was an alarm all the same, and somebody must see it. */
function pulse(
  writing: Writing,
  { content, point: number }: Extract<RiserEvent, { type: 'signal-received' }>,
  { picture, now }: Seen,
): void {
  if (content.kind !== 'contact' || content.state !== 'active' || alertClassOf(content.name) === undefined) return;
  const point = picture.points.find(
    (each) => each.signal === content.name && (number === undefined || each.point === number),
  );
  if (point === undefined || point.state === 'active') return;
  const subject = subjectOf(point.key, point);
  if (subject === undefined || asideOf(picture, point, now) !== undefined) return;
  writing.ask({ type: 'condition-began', id: alertIdOf(picture.profile, point, now), subject, at: now });
  writing.ask({ type: 'condition-ended', key: subject.key, at: now });
  if (!picture.resetOwed) writing.ask({ type: 'latch-released', key: subject.key, at: now });
}

function follow(writing: Writing, { id, code, severity, status, explanation }: Finding, at: Instant): void {
  if (status === 'cleared') writing.ask({ type: 'condition-ended', key: id, at });
  else if (status === 'updated') writing.ask({ type: 'condition-changed', key: id, class: severity, at });
  else
    writing.ask({
      type: 'condition-began',
      id,
      subject: { key: id, class: severity, name: code, label: explanation, latches: false },
      at,
    });
}

interface Given {
  readonly by: string;
  readonly command: RiserCommand;
  readonly now: Instant;
}

function command(writing: Writing, { by, command: given, now: at }: Given, twin: Alerted): void {
  const id = 'alert' in given ? given.alert : undefined;
  switch (given.command) {
    case 'acknowledge':
      acknowledge(writing, choiceOf(given), { by, at, twin });
      break;
    case 'shelve':
      writing.ask({ type: 'shelve', choice: choiceOf(given), for_s: given.forSeconds, reason: given.reason, by, at });
      break;
    case 'unshelve':
      writing.ask({ type: 'unshelve', choice: choiceOf(given), by, at });
      break;
    case 'call-recorded': {
      const deed = { kind: 'call', to: given.to, reached: given.outcome === 'reached' } as const;
      writing.ask({ type: 'put-on-record', deed, choice: { id }, by, at });
      break;
    }
    case 'dispatch-recorded': {
      const deed = { kind: 'dispatch', unit: given.unit, stage: given.stage } as const;
      writing.ask({ type: 'put-on-record', deed, choice: { id }, by, at });
      break;
    }
    default:
  }
}

/** Which alerts a command names; one that names neither means no alert at all. */
const choiceOf = ({ finding, alert }: AlertTarget): AlertChoice =>
  finding === undefined ? { id: alert ?? '' } : { name: finding };

/** Who acknowledges a finding has seen the signals that it cites as its evidence. */
function acknowledge(
  writing: Writing,
  choice: AlertChoice,
  { by, at, twin }: { readonly by: string; readonly at: Instant; readonly twin: Alerted },
): void {
  const keys = new Set(chosen(writing.book, choice).map(({ key }) => key));
  const cited = new Set(
    [...twin.ledger.values()].flatMap(({ finding }) =>
      keys.has(finding.id) ? finding.evidence.map(({ id }) => id) : [],
    ),
  );
  const points = twin.riser.picture.active
    .filter(({ since }) => since !== undefined && cited.has(since.ref.id))
    .map(({ key }) => alertKeyOf(key));
  const signals = [...writing.book.values()].filter(({ key }) => points.includes(key)).map(({ id }) => ({ id }));
  for (const each of [choice, ...signals]) writing.ask({ type: 'acknowledge', choice: each, by, at });
}

interface Written {
  readonly findings: readonly Finding[];
  readonly now: Instant;
  readonly seen: Picture | undefined;
}

/** Findings carry the state of their alert: those of this judgement as they are told, others by a message of their own. */
function written(twin: Alerted, writing: Writing, { findings, now, seen }: Written): AlertsTold {
  const { book } = writing;
  if (book === twin.alerts.book && findings.length === 0)
    return { alerts: { book, seen }, ledger: twin.ledger, outputs: [] };
  const states = new Map([...book.values()].map((alert) => [alert.key, stateOf(alert)]));
  const state = ({ id }: Finding): AlertState => states.get(id) ?? 'normal';
  const told: Output[] = findings.map((finding) => ({
    type: 'finding',
    finding: { ...finding, alertState: state(finding) },
  }));
  const said = new Set(findings.map(({ id }) => id));
  let ledger: Map<string, NonNullable<ReturnType<Ledger['get']>>> | undefined;
  for (const [key, standing] of twin.ledger) {
    const alertState = state(standing.finding);
    if (alertState === standing.finding.alertState) continue;
    const changed: Finding = { ...standing.finding, alertState };
    const isSaid = said.has(changed.id);
    const finding: Finding = isSaid ? changed : { ...changed, status: 'updated', at: now };
    if (!isSaid) told.push({ type: 'finding', finding });
    ledger ??= new Map(twin.ledger);
    ledger.set(key, { ...standing, finding });
  }
  return {
    alerts: { book, seen },
    ledger: ledger ?? twin.ledger,
    outputs: [...told, ...writing.outputs()],
  };
}
