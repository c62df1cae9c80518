// Writes libs/api/openapi.json anew: node --conditions=tidemark-source --import tsx libs/api/scripts/write-openapi.mjs
import { writeFile } from 'node:fs/promises';
import { format } from 'prettier';
import { openApi } from '../src/openapi.ts';

await writeFile(
  new URL('../openapi.json', import.meta.url),
  await format(JSON.stringify(openApi()), { parser: 'json', printWidth: 120 }),
);
