import { defineConfig } from 'vitest/config';
import base from './vitest.config.ts';

/** The one file that needs a server of someone's; see tests/kurrentdb.mjs. */
export default defineConfig({
  ...base,
  test: { ...base.test, include: ['tests/adapters/kurrentdb-server.ts'], testTimeout: 300_000, bail: 5 },
});
