import type {
  CommandReceipt,
  CommandRequest,
  FindingHistory,
  RiserEvents,
  RiserKey,
  RiserList,
  RiserView as WireView,
} from '@tidemark/api';
import { riserKey, routes } from '@tidemark/api';
import { Body, Controller, Get, HttpCode, Inject, Param, Post, Query } from '@nestjs/common';
import type { Position } from '@tidemark/journal';
import { invariant, parseInstant } from '@tidemark/kernel';
import type { RiserView } from '@tidemark/reasoning';
import { checkCommand } from '../command-check.ts';
import { LiveHub } from '../live/live-hub.ts';
import type { DeskPorts, PastMoment } from '../ports.ts';
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
  list(): RiserList {
    return this.#hub.list();
  }

  @Get(nestPath(routes.getRiser))
  async riser(
    @Param({ schema: riserKey }) key: RiserKey,
    @Query({ schema: routes.getRiser.query }) { asOf }: { readonly asOf?: string },
  ): Promise<WireView> {
    const { views } = this.#ports;
    if (asOf === undefined) return riserOnTheWire(this.#known(key), views.position());
    const moment = momentOf(asOf);
    const past = await views.past(key, moment);
    if (!past.ok) throw new Refused(past.failure);
    return riserOnTheWire(past.value, moment.type === 'position' ? moment.position : undefined);
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
    @Param({ schema: riserKey }) key: RiserKey,
    @Body({ schema: routes.giveCommand.body }) given: CommandRequest,
  ): Promise<CommandReceipt> {
    const { commands } = this.#ports;
    const checked = checkCommand(this.#known(key), given.command);
    if (checked.ok) return commands.give(key, given);
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

function momentOf(asOf: string): PastMoment {
  if (/^\d+$/.test(asOf)) return { type: 'position', position: BigInt(asOf) as Position };
  const at = parseInstant(asOf);
  invariant(at.ok, 'a moment that passed its schema is a time');
  return { type: 'time', at: at.value };
}
