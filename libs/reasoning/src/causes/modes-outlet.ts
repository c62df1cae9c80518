import type { ModeTable } from './mode.ts';
import { certain } from './mode.ts';

/** Valve, piping and drains (MODEL 4.4), alarm line and its switch (MODEL 4.5). */
export const outletModes: ModeTable = {
  'valve-stuck-shut': { tripPrime: { falls: certain }, tripFlow: { lacking: certain }, testFlow: { lacking: 0.4 } },
  'valve-hung-open': {
    refill: { lacking: 0.4 },
    reopening: { 'trips-primed': 0.7, 'trips-unprimed': 0.2 },
    waterWhileClosed: { 'begins-after-reset': 0.5 },
    resetFound: { 'water-active': 0.3 },
    testEnd: { lasting: 0.3 },
  },
  'seat-weeping': { selfTrip: { together: 0.5, 'water-alone': 0.3 } },
  'drip-plugged': { selfTrip: { together: 0.3, 'water-alone': 0.5 } },
  'nozzles-obstructed': { drainDown: { lasting: 0.1 } },
  'pipe-broken': { supplyPressure: { 'falls-in-flow': 0.5 } },
  'drain-left-open': { drainDown: { early: 0.3 }, supplyPressure: { 'falls-in-flow': 0.2 } },
  'drains-not-opened': {
    drainDown: { lasting: 0.85 },
    refill: { lacking: 0.85 },
    reopening: { 'trips-unprimed': 0.5 },
    resetFound: { 'water-active': 0.4 },
  },
  'drains-opened-late': {
    drainDown: { lasting: 0.6 },
    refill: { lacking: 0.3, late: 0.3 },
    resetFound: { 'water-active': 0.4 },
  },
  'reset-before-drained': {
    resetFound: { 'water-active': 0.8 },
    reAlarm: { water: 0.3 },
    refill: { lacking: 0.4, late: 0.2 },
  },
  'alarm-line-isolated': {
    tripFlow: { lacking: 0.75 },
    testFlow: { lacking: 0.75 },
    drainDown: { lasting: 0.25 },
    testEnd: { lasting: 0.25 },
  },
  'alarm-line-plugged': { tripFlow: { lacking: 0.5, 'very-late': 0.4 }, testFlow: { lacking: 0.1 } },
  'bleed-hole-plugged': { drainDown: { lasting: 0.9 }, testEnd: { lasting: 0.9 }, resetFound: { 'water-active': 0.4 } },
  'bleed-hole-oversize': { drainDown: { early: 0.6 } },
  'drain-check-leaking': { testFlow: { trips: 0.3 }, testEnd: { lasting: 0.4 }, resetFound: { 'water-active': 0.3 } },
  'alarm-test-valve-leaking': {
    selfTrip: { 'water-alone': 0.6 },
    waterWhileClosed: { begins: 0.2 },
    resetFound: { 'water-active': 0.4 },
    drainDown: { lasting: 0.7 },
    testEnd: { lasting: 0.85 },
  },
  'alarm-test-valve-left-open': {
    selfTrip: { 'water-alone': 0.7 },
    waterWhileClosed: { begins: 0.3 },
    resetFound: { 'water-active': 0.4 },
    drainDown: { lasting: 0.6 },
    testEnd: { lasting: certain },
  },
  'flow-switch-stuck-normal': { tripFlow: { lacking: certain }, testFlow: { lacking: certain } },
  'flow-switch-stuck-active': {
    selfTrip: { 'water-alone': 0.95 },
    waterWhileClosed: { begins: 0.2 },
    resetFound: { 'water-active': 0.5 },
    reAlarm: { water: 0.45, panel: 0.1 },
    drainDown: { lasting: certain },
    testEnd: { lasting: certain },
  },
  'flow-switch-set-high': {
    tripFlow: { late: 0.55, lacking: 0.2 },
    testFlow: { lacking: 0.3 },
    drainDown: { early: 0.4 },
  },
  'flow-switch-reset-low': { drainDown: { lasting: 0.25 }, testEnd: { lasting: 0.45 } },
  'flow-retard-misset': {
    tripFlow: { 'very-late': 0.5, late: 0.2, lacking: 0.2, early: 0.05 },
    testFlow: { lacking: 0.4 },
  },
  'flow-switch-chatter': { chatter: { water: certain }, selfTrip: { 'water-alone': 0.3 } },
};
