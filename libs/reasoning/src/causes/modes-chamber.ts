import type { ModeTable } from './mode.ts';
import { certain } from './mode.ts';

/** What every fault brings that lets the chamber keep no pressure after the reset (MODEL 4.2 P1, 4.3 R7, R11, R14). */
const cannotPrime = {
  refill: { lacking: certain },
  reopening: { 'trips-unprimed': 0.8 },
  waterWhileClosed: { 'begins-after-reset': 0.4 },
  resetFound: { 'water-active': 0.3 },
  testEnd: { lasting: 0.3 },
} as const;

/** Priming side, release side and the chamber between them (MODEL 4.2, 4.3). */
export const chamberModes: ModeTable = {
  'prime-valve-shut': { ...cannotPrime, selfTrip: { 'prime-then-water': 0.3, 'prime-alone': 0.3 } },
  'prime-line-plugged': {
    refill: { late: 0.4, lacking: 0.5 },
    resetFound: { 'water-active': 0.2 },
    testEnd: { lasting: 0.2 },
    reopening: { 'trips-unprimed': 0.4 },
    waterWhileClosed: { 'begins-after-reset': 0.2 },
    selfTrip: { 'prime-then-water': 0.15, 'prime-alone': 0.15 },
  },
  'prime-orifice-oversize': { tripPrime: { falls: certain }, tripFlow: { lacking: 0.6 } },
  'prime-check-leaking': { supplyPressure: { 'falls-before': 0.6 }, selfTrip: { 'prime-alone': 0.5, together: 0.2 } },
  'prime-air-trapped': { refill: { late: 0.5, lacking: 0.2 } },
  'prime-chamber-leaking': {
    refill: { lacking: 0.6 },
    reopening: { 'trips-unprimed': 0.4 },
    waterWhileClosed: { 'begins-after-reset': 0.2 },
    selfTrip: { 'prime-alone': 0.5, 'prime-then-water': 0.35 },
  },
  'prime-switch-stuck-normal': { tripPrime: { holds: certain } },
  'prime-switch-stuck-active': { selfTrip: { 'prime-alone': 0.9 }, refill: { lacking: certain } },
  'prime-switch-set-low': { tripPrime: { 'falls-late': 0.2, holds: 0.15 }, selfTrip: { together: 0.3 } },
  'prime-switch-set-high': { selfTrip: { 'prime-alone': 0.5 }, refill: { lacking: 0.8 } },
  'solenoid-coil-open': {
    release: { lacking: 0.25 },
    releaseCircuit: { trouble: 0.6 },
    tripPrime: { holds: certain },
    tripFlow: { lacking: certain },
    testFlow: { lacking: 0.4 },
  },
  'release-wiring-fault': {
    release: { lacking: 0.3, unasked: 0.05 },
    releaseAfterReset: { stays: 0.2 },
    releaseCircuit: { trouble: 0.9 },
    tripPrime: { holds: certain },
    tripFlow: { lacking: certain },
    testFlow: { lacking: 0.4 },
  },
  'release-output-dead': {
    release: { lacking: 0.6, late: 0.05, unasked: 0.05 },
    tripPrime: { holds: certain },
    tripFlow: { lacking: certain },
    testFlow: { lacking: 0.4 },
  },
  'solenoid-stuck-shut': { tripPrime: { holds: certain }, tripFlow: { lacking: certain }, testFlow: { lacking: 0.4 } },
  'solenoid-port-plugged': {
    tripPrime: { falls: 0.7, 'falls-late': 0.2 },
    tripFlow: { lacking: 0.45, late: 0.4 },
    refill: { late: 0.2 },
  },
  'solenoid-stuck-open': { ...cannotPrime, releaseAfterReset: { stays: 0.1 }, selfTrip: { together: 0.3 } },
  'solenoid-leaking': {
    selfTrip: { 'prime-alone': 0.5, 'prime-then-water': 0.35 },
    refill: { lacking: 0.5 },
    reopening: { 'trips-unprimed': 0.3 },
  },
  'manual-release-operated': { release: { unreported: 0.4 }, selfTrip: { together: 0.9, 'prime-then-water': 0.05 } },
  'manual-release-leaking': {
    selfTrip: { 'prime-alone': 0.5, 'prime-then-water': 0.35 },
    refill: { lacking: 0.5 },
    reopening: { 'trips-unprimed': 0.3 },
  },
  'manual-release-left-open': { ...cannotPrime, selfTrip: { together: 0.3 } },
  'manual-release-jammed': {},
  'relief-stuck-shut': { resetFound: { 'water-active': 0.3 }, refill: { early: 0.2 }, closing: { missing: 0.2 } },
  'relief-stuck-open': { ...cannotPrime, selfTrip: { 'prime-then-water': 0.2, together: 0.2, 'prime-alone': 0.2 } },
};
