import { instant } from '@tidemark/kernel';
import { describe, expect, it } from 'vitest';
import { HashingTurns, waitingLimit } from '../src/access/hashing-turns.ts';
import { countsLimit, LoginThrottle } from '../src/access/login-throttle.ts';

const clock = () => {
  const state = { now: instant(0) };
  return { state, now: () => state.now, pass: (more_ms: number) => (state.now = instant(state.now + more_ms)) };
};

/** Fails as often, each time as soon as it may; gives the last wait. */
function fail(
  throttle: LoginThrottle,
  time: ReturnType<typeof clock>,
  name: string,
  from: string,
  times: number,
): number {
  let longest_ms = 0;
  for (let done = 0; done < times;) {
    const { wait_ms } = throttle.attempt(name, from);
    if (wait_ms === 0) done += 1;
    else time.pass((longest_ms = wait_ms));
  }
  return longest_ms;
}

describe('the throttle of log-ins', () => {
  it('lets nobody wait longer than a quarter of an hour for a name at an address', () => {
    const time = clock();

    expect(fail(new LoginThrottle(time.now), time, 'm.berg', '10.0.0.1', 40)).toBe(900_000);
  });

  it('holds up a name that is tried from ever new addresses, but not where its owner has been in', () => {
    const time = clock();
    const throttle = new LoginThrottle(time.now);
    throttle.attempt('m.berg', '10.0.0.1');
    throttle.succeeded('m.berg', '10.0.0.1');
    for (let address = 0; address < 60; address += 1) throttle.attempt('m.berg', `192.0.2.${address}`);

    expect(throttle.attempt('m.berg', '198.51.100.1').wait_ms).toBeGreaterThan(0);
    expect(throttle.attempt('m.berg', '10.0.0.1').wait_ms).toBe(0);
    expect(throttle.attempt('t.lund', '198.51.100.1').wait_ms).toBe(0);
  });

  it('does not let a right password of one’s own wipe out what the address tried on others', () => {
    const time = clock();
    const throttle = new LoginThrottle(time.now);
    for (let guess = 0; guess < 30; guess += 1) throttle.attempt(`guess-${guess}`, '10.0.0.1');
    throttle.attempt('m.berg', '10.0.0.1');
    throttle.succeeded('m.berg', '10.0.0.1');
    throttle.attempt('guess-30', '10.0.0.1');

    expect(throttle.attempt('guess-31', '10.0.0.1').wait_ms).toBe(1_000);
  });

  it('forgets failures after a day', () => {
    const time = clock();
    const throttle = new LoginThrottle(time.now);
    fail(throttle, time, 'm.berg', '10.0.0.1', 10);
    time.pass(86_400_000);
    for (let slip = 0; slip < 3; slip += 1) throttle.attempt('m.berg', '10.0.0.1');

    expect(throttle.attempt('m.berg', '10.0.0.1').wait_ms).toBe(0);
  });

  it('keeps so many counts, and lets the longest untouched go', () => {
    const time = clock();
    const throttle = new LoginThrottle(time.now);
    for (let slip = 0; slip < 4; slip += 1) throttle.attempt('m.berg', '10.0.0.1');
    expect(throttle.attempt('m.berg', '10.0.0.1').wait_ms).toBe(1_000);
    for (let other = 0; other < countsLimit; other += 1) throttle.attempt(`other-${other}`, `net-${other}`);

    expect(throttle.attempt('m.berg', '10.0.0.1').wait_ms).toBe(0);
  });
});

describe('the turns of hashing', () => {
  it('takes two at a time and so many waiting, and sends the next away', async () => {
    const turns = new HashingTurns();
    let running = 0;
    let most = 0;
    const gates: (() => void)[] = [];
    const work = () =>
      turns.run(async () => {
        running += 1;
        most = Math.max(most, running);
        await new Promise<void>((open) => gates.push(open));
        running -= 1;
        return true;
      });
    const taken = Array.from({ length: 2 + waitingLimit }, work);

    expect(await work()).toBeUndefined();
    for (let opened = 0; opened < taken.length; opened += 1) {
      gates[opened]?.();
      await taken[opened];
      await Promise.resolve();
    }
    expect([await Promise.all(taken), most]).toEqual([taken.map(() => true), 2]);
  });
});
