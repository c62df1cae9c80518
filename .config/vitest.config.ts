import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';

/** Packages are tested from their sources: the private condition points `exports` at `src`. */
const conditions = ['tidemark-source', 'node'];

export default defineConfig({
  root: fileURLToPath(new URL('..', import.meta.url)),
  resolve: { conditions },
  ssr: { resolve: { conditions, externalConditions: conditions } },
  oxc: { decorator: { legacy: true } },
  test: {
    include: [
      'libs/*/test/**/*.test.ts',
      'services/*/test/**/*.test.ts',
      'simulator/test/**/*.test.ts',
      'tests/**/*.test.ts',
    ],
    exclude: ['**/node_modules/**', '**/dist/**', '**/*.long.test.ts'],
    execArgv: ['--conditions=tidemark-source'],
    testTimeout: 30_000,
    hookTimeout: 60_000,
  },
});
