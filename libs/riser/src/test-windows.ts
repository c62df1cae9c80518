import { pushed } from './bounded.ts';
import type { Mark, Picture, TestWindow } from './picture.ts';
import { altered, pictureLimits } from './picture.ts';

/** Opens a test window. */
export const beginTest = (picture: Picture, test: TestWindow): Picture =>
  altered(picture, {
    tests: pushed(picture.tests, test, pictureLimits.tests),
  });

/** Ends the test window that is open. */
export const endTest = (picture: Picture, open: TestWindow, mark: Mark): Picture =>
  altered(picture, {
    tests: picture.tests.map((test) => (test === open ? { ...test, end: mark } : test)),
  });
