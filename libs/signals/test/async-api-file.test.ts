import { fileURLToPath } from 'node:url';
import { asyncApiDocument } from '@tidemark/signals';
import { format } from 'prettier';
import { describe, expect, it } from 'vitest';

/** Read by people and by generators of clients; `npx vitest run --config .config/vitest.config.ts libs/signals -u` writes it. */
const file = fileURLToPath(new URL('../asyncapi.json', import.meta.url));

describe('asyncapi.json', () => {
  it('is what the schemas say today', async () => {
    const text = await format(JSON.stringify(asyncApiDocument()), { parser: 'json', printWidth: 120 });

    await expect(text).toMatchFileSnapshot(file);
  });

  it('follows the prefix that is configured', () => {
    expect(asyncApiDocument({ prefix: 'site/7' })).toMatchObject({
      channels: { signal: { address: 'site/7/{account}/{riser}/signal' } },
    });
  });
});
