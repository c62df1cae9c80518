import type {
  AccountFigures,
  CommandReceipt,
  DeadlineTable,
  HandOverRequest,
  HandOvers,
  RiserKey,
} from '@tidemark/api';
import { isFiguresSpan, riserKey, routes } from '@tidemark/api';
import { Body, Controller, Get, HttpCode, Inject, Param, Post, Query } from '@nestjs/common';
import type { Instant } from '@tidemark/kernel';
import { instant } from '@tidemark/kernel';
import type { RiserView } from '@tidemark/reasoning';
import type { Viewer } from '../access/viewer.ts';
import { Who } from '../access/viewer.ts';
import { handOverPage, handOversSince } from '../hand-overs.ts';
import type { DeskPorts } from '../ports.ts';
import { accountFigures, shiftsOf } from '../reading/account-figures.ts';
import { deadlinesOnTheWire, shortLabel } from '../reading/alerts-on-the-wire.ts';
import type { PageRequest } from '../reading/page.ts';
import { nestPath } from './desk-address.ts';
import { Refused } from './refused.ts';
import { DESK_PORTS } from './tokens.ts';

/** Without a span: the last day. */
const defaultSpan_ms = 86_400_000;

interface AccountKey {
  readonly account: string;
}

/** What people owe alerts, how they fare with it, and how a shift changes hands. */
@Controller()
export class AlertsController {
  readonly #ports: DeskPorts;

  constructor(@Inject(DESK_PORTS) ports: DeskPorts) {
    this.#ports = ports;
  }

  @Get(nestPath(routes.getDeadlines))
  deadlines(@Param({ schema: riserKey }) key: RiserKey): DeadlineTable {
    const policy = this.#ports.views.alertPolicy(key);
    if (policy === undefined) throw new Refused('unknown-riser');
    return deadlinesOnTheWire(policy);
  }

  @Get(nestPath(routes.getFigures))
  async figures(
    @Param({ schema: routes.getFigures.params }) { account }: AccountKey,
    @Query({ schema: routes.getFigures.query }) asked: { readonly from?: string; readonly to?: string },
  ): Promise<AccountFigures> {
    const { journal, clock } = this.#ports;
    const now = clock();
    const views = this.#viewsOf(account);
    const to = momentOf(asked.to) ?? now;
    const from = momentOf(asked.from) ?? instant(to - defaultSpan_ms);
    if (!isFiguresSpan(from, to))
      throw new Refused('invalid-request', {
        issues: [{ path: 'from', message: 'expected a time before `to`, and at most 31 days before it' }],
      });
    const handOvers = shiftsOf(await handOversSince(journal, account, from));
    return accountFigures(journal, { account, span: { from, to }, now, views, handOvers });
  }

  @Get(nestPath(routes.listHandOvers))
  handOvers(
    @Param({ schema: routes.listHandOvers.params }) { account }: AccountKey,
    @Query({ schema: routes.listHandOvers.query }) request: PageRequest,
  ): Promise<HandOvers> {
    this.#viewsOf(account);
    return handOverPage(this.#ports.journal, account, request);
  }

  @Post(nestPath(routes.handOver))
  @HttpCode(routes.handOver.answer.status)
  handOver(
    @Who() { name }: Viewer,
    @Param({ schema: routes.handOver.params }) { account }: AccountKey,
    @Body({ schema: routes.handOver.body }) given: HandOverRequest,
  ): Promise<CommandReceipt> {
    const open = this.#viewsOf(account).flatMap(openAlerts);
    return this.#ports.shift.handOver(account, { ...given, from: name, open: open.slice(0, handedOverLimit) });
  }

  /** The risers of an account; one without any is told as one that is not there. */
  #viewsOf(account: string): readonly RiserView[] {
    const views = this.#ports.views.views().filter((view) => view.account === account);
    if (views.length === 0) throw new Refused('unknown-riser');
    return views;
  }
}

/** The most alerts a hand-over names. A choice of this project: more than a shift could read. */
const handedOverLimit = 200;

const openAlerts = ({ riser, alerts }: RiserView) =>
  alerts.map((alert) => ({
    riser,
    alert: alert.id,
    label: shortLabel(alert),
    state: alert.state,
    overdue: alert.duties.filter((duty) => duty.state === 'overdue').map(({ title }) => title),
  }));

/** The schema has let only times through. */
const momentOf = (text: string | undefined): Instant | undefined =>
  text === undefined ? undefined : instant(Date.parse(text));
