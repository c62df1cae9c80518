import { defaultFigures } from '@tidemark/hydraulics';
import { describe, expect, it } from 'vitest';
import { faultRecipes } from '../../src/index.ts';
import { signature } from './signature.ts';
import { tell } from './story.ts';

/*
 * The signatures are those of the project's fault catalogue, whose rows came from a prototype of the same equations; they
 * are checked here row by row against the plant, and where the plant says otherwise the row says why. The fault is there
 * from the start of the story.
 */
const recipes = faultRecipes(defaultFigures);
const healthy = 'Q | D PRIM+ FLOW+ | R TAMP+ FLOW- PRIM- TAMP- | T FLOW+ FLOW-';

const recipe = (id: string, form: number) => {
  const found = recipes[id]?.[form];
  if (found === undefined) throw new Error(`no recipe ${id} ${String(form)}`);
  return found;
};

describe('the signature of a fault', () => {
  it.each([
    ['supply-shut-unseen', 0, 'S1', 'Q | D PRIM+ | R PRIM- | T FLOW+ FLOW-'],
    ['supply-partly-shut', 0, 'S2', 'Q | D PRIM+ FLOW+ | R FLOW- PRIM- | T FLOW+ FLOW-'],
    ['supply-partly-shut', 1, 'S2', 'Q | D PRIM+ FLOW+ | R FLOW- PRIM- | T FLOW+ FLOW-'],
    ['supply-switch-misset', 0, 'S3', healthy],
    ['supply-switch-stuck-normal', 0, 'S4', 'Q | D PRIM+ FLOW+ | R FLOW- PRIM- | T FLOW+ FLOW-'],
    ['supply-switch-stuck-active', 0, 'S5', 'Q TAMP+ | D PRIM+ FLOW+ | R FLOW- PRIM- | T FLOW+ FLOW-'],
    [
      'supply-switch-vibrating',
      0,
      'S6',
      'Q TAMP+ TAMP- TAMP+ TAMP- TAMP+ TAMP- TAMP+ TAMP- TAMP+ | D PRIM+ FLOW+ | R FLOW- PRIM- | T FLOW+ FLOW-',
    ],
    ['supply-weak', 0, 'S7', 'Q | D PRIM+ FLOW+ SUP+ SUP- | R TAMP+ FLOW- PRIM- TAMP- | T FLOW+ FLOW-'],
    ['supply-static-low', 0, 'S8', 'Q | D PRIM+ FLOW+ SUP+ SUP- | R TAMP+ FLOW- TAMP- | T FLOW+ FLOW-'],
    ['supply-dip', 0, 'S9', 'Q SUP+ | D PRIM+ FLOW+ | R TAMP+ FLOW- TAMP- | T FLOW+ FLOW-'],
    ['supply-dip', 1, 'S11', 'Q PRIM+ SUP+ | D FLOW+ | R TAMP+ FLOW- TAMP- | T FLOW+ FLOW-'],
    ['supply-surge', 0, 'S10', healthy],
    ['supply-valve-passing', 0, 'S12', healthy],
    ['supply-valve-passing', 1, 'S12', 'Q | D PRIM+ FLOW+ | R TAMP+ TAMP- | T'],
    ['prime-valve-shut', 0, 'P1', 'Q PV+ | D PRIM+ FLOW+ | R TAMP+ FLOW- FLOW+ TAMP- | T'],
    ['prime-valve-shut', 1, 'P2', 'Q PV+ PRIM+ FLOW+ | D | R TAMP+ FLOW- FLOW+ TAMP- | T'],
    ['prime-valve-shut', 2, 'P3', 'Q PV+ | D PRIM+ FLOW+ | R TAMP+ FLOW- FLOW+ TAMP- | T'],
    ['prime-line-plugged', 0, 'P4', healthy],
    ['prime-line-plugged', 1, 'P5', 'Q | D PRIM+ FLOW+ | R TAMP+ FLOW- FLOW+ TAMP- | T'],
    ['prime-line-plugged', 2, 'P9', 'Q | D PRIM+ FLOW+ | R TAMP+ FLOW- FLOW+ TAMP- | T'],
    ['prime-orifice-oversize', 0, 'P6', 'Q | D PRIM+ | R TAMP+ PRIM- TAMP- | T FLOW+ FLOW-'],
    ['prime-orifice-oversize', 1, 'P7', healthy],
    ['prime-check-leaking', 0, 'P8', healthy],
    ['prime-air-trapped', 0, 'P10', healthy],
    ['prime-chamber-leaking', 0, 'P11', healthy],
    ['prime-chamber-leaking', 1, 'P12', 'Q PRIM+ | D FLOW+ | R TAMP+ FLOW- TAMP- | T FLOW+ FLOW-'],
    ['prime-chamber-leaking', 2, 'P13', 'Q PRIM+ FLOW+ | D | R TAMP+ FLOW- FLOW+ TAMP- | T'],
    ['prime-switch-stuck-normal', 0, 'P14', 'Q | D FLOW+ | R TAMP+ FLOW- TAMP- | T FLOW+ FLOW-'],
    ['prime-switch-stuck-active', 0, 'P15', 'Q PRIM+ | D FLOW+ | R TAMP+ FLOW- TAMP- | T FLOW+ FLOW-'],
    ['prime-switch-set-low', 0, 'P16', healthy],
    ['prime-switch-set-high', 0, 'P17', 'Q | D PRIM+ FLOW+ | R TAMP+ FLOW- TAMP- | T FLOW+ FLOW-'],
    ['solenoid-coil-open', 0, 'R1', 'Q | D | R TAMP+ TAMP- | T FLOW+ FLOW-'],
    ['solenoid-stuck-shut', 0, 'R4', 'Q | D | R TAMP+ TAMP- | T FLOW+ FLOW-'],
    ['solenoid-port-plugged', 0, 'R5', 'Q | D PRIM+ | R TAMP+ PRIM- TAMP- | T FLOW+ FLOW-'],
    ['solenoid-port-plugged', 1, 'R6', healthy],
    ['solenoid-port-plugged', 2, 'R6', healthy],
    ['solenoid-stuck-open', 0, 'R7', 'Q PRIM+ FLOW+ | D | R TAMP+ FLOW- FLOW+ TAMP- | T'],
    ['solenoid-leaking', 0, 'R8', healthy],
    ['solenoid-leaking', 1, 'R8', 'Q PRIM+ | D FLOW+ | R TAMP+ FLOW- TAMP- | T FLOW+ FLOW-'],
    ['solenoid-leaking', 2, 'R8', 'Q PRIM+ FLOW+ | D | R TAMP+ FLOW- FLOW+ TAMP- | T'],
    ['manual-release-operated', 0, 'R9', 'Q PRIM+ FLOW+ | D | R TAMP+ FLOW- FLOW+ TAMP- | T'],
    ['manual-release-leaking', 0, 'R10', healthy],
    ['manual-release-leaking', 1, 'R10', 'Q PRIM+ | D FLOW+ | R TAMP+ FLOW- TAMP- | T FLOW+ FLOW-'],
    ['manual-release-leaking', 2, 'R10', 'Q PRIM+ FLOW+ | D | R TAMP+ FLOW- FLOW+ TAMP- | T'],
    ['manual-release-left-open', 0, 'R11', 'Q PRIM+ FLOW+ | D | R TAMP+ FLOW- FLOW+ TAMP- | T'],
    ['manual-release-jammed', 0, 'R12', healthy],
    ['relief-stuck-shut', 0, 'R13', healthy],
    ['relief-stuck-shut', 1, 'R15', healthy],
    ['relief-stuck-open', 0, 'R14', 'Q PRIM+ FLOW+ | D | R TAMP+ FLOW- FLOW+ TAMP- | T'],
    ['relief-stuck-open', 1, 'R14', 'Q PRIM+ | D FLOW+ | R TAMP+ FLOW- TAMP- | T FLOW+ FLOW-'],
    ['valve-stuck-shut', 0, 'V1', 'Q | D PRIM+ | R TAMP+ PRIM- TAMP- | T FLOW+ FLOW-'],
    ['valve-hung-open', 0, 'V2', 'Q | D PRIM+ FLOW+ | R TAMP+ FLOW- PRIM- PRIM+ FLOW+ TAMP- | T'],
    ['seat-weeping', 0, 'V3', healthy],
    ['drip-plugged', 0, 'V4', healthy],
    ['nozzles-obstructed', 0, 'V5', healthy],
    ['nozzles-obstructed', 1, 'V5', healthy],
    ['pipe-broken', 0, 'V6', healthy],
    ['drain-left-open', 0, 'V7', healthy],
    ['drain-left-open', 1, 'V8', healthy],
    ['drain-left-open', 2, 'V9', healthy],
    ['alarm-line-isolated', 0, 'A1', 'Q AV+ | D PRIM+ | R TAMP+ PRIM- TAMP- | T'],
    ['alarm-line-isolated', 1, 'A2', 'Q AV+ | D PRIM+ | R TAMP+ PRIM- TAMP- | T FLOW+'],
    ['alarm-line-isolated', 2, 'A3', 'Q AV+ | D PRIM+ | R TAMP+ PRIM- TAMP- | T'],
    ['alarm-line-plugged', 0, 'A4', healthy],
    ['alarm-line-plugged', 1, 'A4', 'Q | D PRIM+ | R TAMP+ PRIM- TAMP- | T FLOW+'],
    ['alarm-line-plugged', 2, 'A5', healthy],
    ['bleed-hole-plugged', 0, 'A6', 'Q | D PRIM+ FLOW+ | R TAMP+ PRIM- TAMP- | T'],
    ['bleed-hole-plugged', 1, 'A7', healthy],
    ['bleed-hole-oversize', 0, 'A8', healthy],
    ['drain-check-leaking', 0, 'A9', healthy],
    ['drain-check-leaking', 1, 'A9', 'Q | D PRIM+ FLOW+ | R TAMP+ FLOW- PRIM- TAMP- | T FLOW+'],
    ['alarm-test-valve-leaking', 0, 'A10', 'Q | D PRIM+ FLOW+ | R TAMP+ PRIM- TAMP- | T'],
    ['alarm-test-valve-leaking', 1, 'A11', 'Q FLOW+ | D PRIM+ | R TAMP+ PRIM- TAMP- | T'],
    ['alarm-test-valve-left-open', 0, 'A12', 'Q FLOW+ | D PRIM+ | R TAMP+ PRIM- TAMP- | T FLOW-'],
    ['flow-switch-stuck-normal', 0, 'A13', 'Q | D PRIM+ | R TAMP+ PRIM- TAMP- | T'],
    ['flow-switch-stuck-active', 0, 'A14', 'Q FLOW+ | D PRIM+ | R TAMP+ PRIM- TAMP- | T'],
    ['flow-switch-set-high', 0, 'A15', healthy],
    ['flow-switch-reset-low', 0, 'A16', healthy],
    ['flow-retard-misset', 0, 'A17', 'Q | D PRIM+ FLOW+ | R TAMP+ FLOW- PRIM- TAMP- | T'],
    [
      'flow-switch-chatter',
      0,
      'A18',
      'Q | D PRIM+ FLOW+ FLOW- FLOW+ FLOW- FLOW+ FLOW- FLOW+ | R TAMP+ FLOW- FLOW+ FLOW- FLOW+ FLOW- FLOW+ FLOW- PRIM- TAMP- | T FLOW+ FLOW- FLOW+ FLOW- FLOW+ FLOW- FLOW+ FLOW- FLOW+ FLOW- FLOW+ FLOW- FLOW+ FLOW-',
    ],
    // The set point alone; what the pulsing supply makes of it is told with the other delays.
    ['flow-switch-chatter', 1, 'A19', healthy],
  ] as const)('%s (form %d, row %s)', (id, form, row, expected) => {
    expect(recipe(id, form).row).toBe(row);
    expect(signature(tell(recipe(id, form)))).toBe(expected);
  });

  it('is in the table above for every recipe', () => {
    const forms = Object.values(recipes).reduce((count, list) => count + list.length, 0);

    expect(forms).toBe(81);
  });
});
