import { unreachable } from '@tidemark/kernel';
import type { StationCommand } from '../crew/act.ts';
import type { Sight } from '../crew/sight.ts';
import { sightOf } from '../crew/sight.ts';
import { programmed, wiredAt } from '../faults/programme.ts';
import type { Programme } from '../faults/programme.ts';
import type { LinkTrouble } from '../link/trouble.ts';
import type { PanelLink } from '../link/link-state.ts';
import { createLink, mendLink, powerLink, say, troubleLink } from '../link/link.ts';
import { panelFront } from '../panel/panel-front.ts';
import type { PanelInput } from '../panel/panel-input.ts';
import type { PanelOutput } from '../panel/panel-output.ts';
import { panelSettings, wiredPoints } from '../panel/panel-settings.ts';
import type { Panel, PanelStep } from '../panel/panel-state.ts';
import { advancePanel, createPanel, operatePanel, panelWake } from '../panel/panel.ts';
import type { PlantEvent } from '../plant/event.ts';
import { told_s } from '../plant/event.ts';
import { observe } from '../plant/observe.ts';
import type { PlantView } from '../plant/observe.ts';
import { advance, command, createPlant } from '../plant/plant.ts';
import type { Advanced, Plant, PlantCommand } from '../plant/plant.ts';
import { figuresOf } from './figures-of.ts';
import { Gauges } from './gauges.ts';
import type { Ledger } from './ledger.ts';
import type { StepDeed, Story } from './story.ts';

/**
 * A plant, the panel wired to it and the panel's path to the station. Whatever one of them does reaches the others at
 * the same moment, the plant's doings first, then the panel's; so there is one order for what is simultaneous.
 */
export class World {
  link: PanelLink;
  #plant: Plant;
  #panel: Panel;
  /** When the panel does something by itself next; asked for once after each of its changes, since it is asked so often. */
  #panelWake_s = 0;
  /** Points whose devices do nothing when somebody operates them. */
  readonly deadPoints = new Set<number>();
  readonly commands: { readonly at_s: number; readonly command: StationCommand }[] = [];
  readonly #lastSaid = new Map<string, 'active' | 'restored'>();
  readonly #ledger: Ledger;
  readonly #gauges: Gauges;
  /** How the panel is programmed or wired otherwise than the profile says, for the whole story. */
  readonly #programme: Programme;

  constructor({ profile, begin, valves = {}, panel, link, faults = [] }: Story, ledger: Ledger) {
    this.#ledger = ledger;
    this.#programme = faults.reduce<Programme>(
      (sum, { injected }) => (injected.where === 'profile' ? { ...sum, ...injected.programme } : sum),
      {},
    );
    this.#plant = createPlant(figuresOf(profile));
    this.#panel = createPanel(programmed(panelSettings(profile, panel), this.#programme), 0);
    this.link = createLink({ key: { account: profile.account, riser: profile.riser }, begin, ...link });
    this.#gauges = new Gauges(this.#panel.settings.readings);
    ledger.positions(observe(this.#plant));
    for (const [valve, to] of Object.entries(valves))
      this.turn({ type: 'move', valve: valve as keyof typeof valves, to, over_s: 0 }, 0);
  }

  /** The next moment at which plant or panel do something by themselves, or the plant has come a step further. */
  get next_s(): number {
    return Math.min(plantNext_s(this.#plant), this.#panelWake_s, this.#gauges.next_s);
  }

  /**
   * What gauges and eyes show: the plant where its last step ended. Within a step that has hardly begun, flows that
   * follow from changes of volume are mostly rounding.
   */
  get view(): PlantView {
    return observe({ ...this.#plant, seen_s: this.#plant.state.at_s });
  }

  /** What people see. The display lists what is active, and no longer what the panel has told to be back. */
  get sight(): Sight {
    const front = panelFront(this.#panel);
    const active = front.active.filter((signal) => this.isSaidActive(signal) || !this.#isSpokenOf(signal));
    return sightOf(this.view, { ...front, active });
  }

  /** Whether the panel, when it last spoke of a signal, called it active at any point. */
  isSaidActive(signal: string): boolean {
    return [...this.#lastSaid].some(([name, state]) => state === 'active' && name.startsWith(`${signal}/`));
  }

  #isSpokenOf(signal: string): boolean {
    return [...this.#lastSaid.keys()].some((name) => name.startsWith(`${signal}/`));
  }

  /** Goes on to a moment that is not after the next one. */
  goTo(at_s: number): void {
    if (plantNext_s(this.#plant) <= at_s) this.#follow(advance(this.#plant, at_s));
    if (this.#panelWake_s <= at_s) this.#panelDid(advancePanel(this.#panel, this.#atPanel(at_s)));
    for (const { point, si } of this.#gauges.read(this.#plant.state, at_s))
      this.operate({ type: 'reading', point, si }, at_s);
  }

  /** Something is done to the plant. */
  turn(given: PlantCommand, at_s: number): void {
    this.#follow(advance(this.#plant, at_s));
    this.#ledger.positions(observe(this.#plant));
    this.#follow(command(this.#plant, at_s, given));
    this.#ledger.positions(observe(this.#plant));
  }

  /** Something is done to the panel. */
  operate(input: PanelInput, at_s: number): void {
    this.#panelDid(operatePanel(this.#panel, this.#atPanel(at_s), input));
  }

  /** The plant tells moments rounded up, so the panel may be a part of a millisecond ahead. */
  #atPanel(at_s: number): number {
    return Math.max(at_s, this.#panel.at_s);
  }

  /** Something befalls the path to the station, or is over. */
  trouble(trouble: LinkTrouble): void {
    this.link = troubleLink(this.link, trouble);
  }

  mend(id: string, at_s: number): void {
    this.link = mendLink(this.link, id, at_s);
  }

  /** Somebody does something. */
  perform(deed: StepDeed, at_s: number): void {
    switch (deed.act) {
      case 'valve': {
        const { over_s, to, valve } = deed;
        this.turn({ type: 'move', valve, to, ...(over_s === undefined ? {} : { over_s }) }, at_s);
        return;
      }
      case 'device':
        if (!this.deadPoints.has(deed.point)) this.#contact(deed.point, deed.state === 'active', at_s);
        return;
      case 'button':
        this.operate({ type: 'button', button: deed.button }, at_s);
        return;
      case 'switch':
        this.operate({ type: 'switch', switch: deed.switch, on: deed.on }, at_s);
        return;
      case 'station':
        this.commands.push({ at_s, command: deed.command });
        return;
      default:
        unreachable(deed);
    }
  }

  #contact(point: number, active: boolean, at_s: number): void {
    this.operate({ type: 'contact', point: wiredAt(point, this.#programme), active }, at_s);
  }

  #follow({ plant, events }: Advanced): void {
    this.#plant = plant;
    this.#ledger.flows(plant.state);
    for (const event of events) this.#plantDid(event);
  }

  #plantDid(event: PlantEvent): void {
    switch (event.type) {
      case 'contact': {
        const { at_s, contact, state } = event;
        this.#ledger.contacts.push({ at_s, contact, state });
        for (const point of wiredPoints(this.#panel.settings, contact)) this.#contact(point, state === 'active', at_s);
        return;
      }
      case 'milestone':
        this.#ledger.milestones.push({ at_s: event.at_s, milestone: event.milestone });
        return;
      case 'valve-at-rest':
        this.#ledger.positions(observe(this.#plant));
        return;
      default:
        unreachable(event);
    }
  }

  #panelDid({ panel, outputs }: PanelStep): void {
    this.#panel = panel;
    this.#panelWake_s = panelWake(panel) ?? Infinity;
    for (const output of outputs) this.#carryOut(output);
  }

  #carryOut(output: PanelOutput): void {
    const { at_s } = output;
    switch (output.type) {
      case 'signal': {
        const { link, fate } = say(this.link, output);
        this.link = link;
        this.#ledger.said.push({ ...output, fate });
        if ('state' in output.data && output.data.state !== 'performed')
          this.#lastSaid.set(`${output.data.signal}/${String(output.data.point ?? '')}`, output.data.state);
        return;
      }
      case 'solenoid': {
        const to = output.energized ? 1 : 0;
        this.#ledger.energized(at_s, output.energized);
        this.turn({ type: 'move', valve: 'solenoid', to }, Math.max(at_s, this.#plant.seen_s));
        return;
      }
      case 'running':
        this.link = powerLink(this.link, at_s, output.running);
        return;
      case 'reset-refused':
        this.#ledger.refusedResets_s.push(at_s);
        return;
      case 'notification':
        return;
      default:
        unreachable(output);
    }
  }
}

/** The next event of a plant, or the end of its next natural step, rounded up to what is told. */
function plantNext_s({ ahead, seen_s }: Plant): number {
  const next_s = ahead.found.find(({ exact_s }) => exact_s > seen_s)?.exact_s ?? ahead.state.at_s;
  return Math.max(next_s, told_s(next_s));
}
