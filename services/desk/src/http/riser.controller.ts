import type {
  CommandReceipt,
  CommandRequest,
  Diagnosis,
  FindingHistory,
  RiserEvents,
  RiserKey,
  RiserList,
  RiserView as WireView,
} from '@tidemark/api';
import { mayCommand, riserKey, routes } from '@tidemark/api';
import { Body, Controller, Get, HttpCode, Inject, Param, Post, Query } from '@nestjs/common';
import { invariant, parseInstant } from '@tidemark/kernel';
import type { Viewer } from '../access/viewer.ts';
import { Who } from '../access/viewer.ts';
import { positionsFor } from '../access/wire-positions.ts';
import type { RiserView } from '@tidemark/reasoning';
import { checkCommand } from '../command-check.ts';
import { LiveHub } from '../live/live-hub.ts';
import type { DeskPorts, PastMoment } from '../ports.ts';
import { pastTwin } from '../past-view.ts';
import { diagnosisOnTheWire } from '../reading/diagnosis.ts';
import { eventPage } from '../reading/event-pages.ts';
import { findingPage } from '../reading/finding-pages.ts';
import type { PageRequest } from '../reading/page.ts';
import { riserOnTheWire } from '../reading/riser-on-the-wire.ts';
import { nestPath } from './desk-address.ts';
import { Refused } from './refused.ts';
import { DESK_PORTS } from './tokens.ts';

/** Risers: their state, their history, and what people decide about them. */
@Controller()
export class RiserController {
  readonly #ports: DeskPorts;
  readonly #hub: LiveHub;

  constructor(@Inject(DESK_PORTS) ports: DeskPorts, @Inject(LiveHub) hub: LiveHub) {
    this.#ports = ports;
    this.#hub = hub;
  }

  @Get(nestPath(routes.listRisers))
  list(@Who() { accounts }: Viewer): RiserList {
    return this.#hub.list(accounts);
  }

  @Get(nestPath(routes.getRiser))
  async riser(
    @Who() viewer: Viewer,
    @Param({ schema: riserKey }) key: RiserKey,
    @Query({ schema: routes.getRiser.query }) { asOf }: { readonly asOf?: string },
  ): Promise<WireView> {
    const { views } = this.#ports;
    if (asOf === undefined) return riserOnTheWire(this.#known(key), this.#hub.position(viewer.accounts));
    const moment = momentOf(asOf, viewer);
    if (moment === undefined) throw new Refused('moment-not-reached');
    const past = await views.past(key, moment);
    if (!past.ok) throw new Refused(past.failure);
    return riserOnTheWire(past.value, moment.type === 'position' ? moment.position : undefined);
  }

  @Get(nestPath(routes.getDiagnosis))
  async diagnosis(
    @Who() viewer: Viewer,
    @Param({ schema: riserKey }) key: RiserKey,
    @Query({ schema: routes.getDiagnosis.query }) { asOf }: { readonly asOf?: string },
  ): Promise<Diagnosis> {
    const { journal, clock } = this.#ports;
    this.#known(key);
    const moment = asOf === undefined ? { type: 'time' as const, at: clock() } : momentOf(asOf, viewer);
    if (moment === undefined) throw new Refused('moment-not-reached');
    const past = await pastTwin(journal, key, moment);
    if (!past.ok) throw new Refused(past.failure);
    return diagnosisOnTheWire(journal, key, past.value);
  }

  @Get(nestPath(routes.listEvents))
  events(
    @Param({ schema: riserKey }) key: RiserKey,
    @Query({ schema: routes.listEvents.query }) request: PageRequest,
  ): Promise<RiserEvents> {
    const { points } = this.#known(key);
    const labels = new Map(
      points.flatMap(({ point, label }) => (point === undefined ? [] : [[point, label] as const])),
    );
    return eventPage(this.#ports.journal, key, request, labels);
  }

  @Get(nestPath(routes.listFindings))
  findings(
    @Param({ schema: riserKey }) key: RiserKey,
    @Query({ schema: routes.listFindings.query }) request: PageRequest,
  ): Promise<FindingHistory> {
    this.#known(key);
    return findingPage(this.#ports.journal, key, request);
  }

  @Post(nestPath(routes.giveCommand))
  @HttpCode(routes.giveCommand.answer.status)
  async command(
    @Who() { name, grants }: Viewer,
    @Param({ schema: riserKey }) key: RiserKey,
    @Body({ schema: routes.giveCommand.body }) given: CommandRequest,
  ): Promise<CommandReceipt> {
    const { commands } = this.#ports;
    if (!mayCommand(grants, key.account, given.command.command)) throw new Refused('not-allowed');
    const checked = checkCommand(this.#known(key), given.command);
    if (checked.ok) return commands.give(key, { ...given, by: name });
    // The answer to the first try may have been lost, and what it asked for is done: then it is not refused now.
    const receipt = await commands.receipt(key, given.id);
    if (receipt === undefined) throw new Refused(checked.failure);
    return receipt;
  }

  #known(key: RiserKey): RiserView {
    const view = this.#ports.views.view(key);
    if (view === undefined) throw new Refused('unknown-riser');
    return view;
  }
}

function momentOf(asOf: string, { accounts }: Viewer): PastMoment | undefined {
  if (/^\d+$/.test(asOf)) {
    const position = positionsFor(accounts).read(asOf);
    return position === undefined ? undefined : { type: 'position', position };
  }
  const at = parseInstant(asOf);
  invariant(at.ok, 'a moment that passed its schema is a time');
  return { type: 'time', at: at.value };
}
