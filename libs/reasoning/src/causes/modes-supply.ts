import type { ModeTable } from './mode.ts';
import { certain } from './mode.ts';

/** Supply and supply valve (MODEL 4.1; shares where a fault's size decides are choices of this project, from the sizes there). */
export const supplyModes: ModeTable = {
  'supply-shut-unseen': { tripFlow: { lacking: certain }, closing: { missing: 0.7 }, testFlow: { lacking: 0.4 } },
  'supply-partly-shut': {
    tripFlow: { late: 0.35, 'very-late': 0.05, 'in-time': 0.55 },
    isolated: { yes: 0.15 },
    waterWhileClosed: { begins: 0.4 },
    closing: { missing: 0.3 },
    drainDown: { lasting: 0.3 },
    reopened: { missing: 0.3 },
  },
  'supply-switch-misset': {
    isolated: { yes: 0.2 },
    waterWhileClosed: { begins: 0.3 },
    closing: { missing: 0.2, 'uncalled-for': 0.2 },
    reopened: { missing: 0.4 },
  },
  'supply-switch-stuck-normal': { closing: { missing: certain } },
  'supply-switch-stuck-active': {
    isolated: { yes: 0.7 },
    waterWhileClosed: { begins: 0.7, 'begins-after-reset': 0.1 },
    closing: { 'uncalled-for': 0.7 },
    reopened: { missing: certain },
  },
  'supply-switch-vibrating': { chatter: { valve: 0.9 }, closing: { 'uncalled-for': 0.3 }, reopened: { missing: 0.3 } },
  'supply-weak': {
    supplyPressure: { 'falls-in-flow': 0.9 },
    tripFlow: { late: 0.3 },
    closing: { missing: 0.3 },
  },
  'supply-static-low': {
    supplyPressure: { 'falls-before': 0.5 },
    selfTrip: { 'prime-alone': 0.7 },
    tripFlow: { late: 0.3 },
    refill: { lacking: 0.5 },
  },
  'supply-dip': {
    supplyPressure: { 'falls-before': 0.9 },
    selfTrip: { 'prime-alone': 0.4, together: 0.15 },
    closing: { missing: 0.2 },
    chatter: { other: 0.1 },
  },
  'supply-surge': { selfTrip: { together: 0.15, 'prime-alone': 0.1 }, chatter: { water: 0.15 } },
  'supply-valve-passing': {
    drainDown: { lasting: 0.7 },
    resetFound: { 'water-active': 0.3 },
    testEnd: { lasting: 0.2 },
    refill: { lacking: 0.6 },
    waterWhileClosed: { begins: 0.2 },
  },
};
