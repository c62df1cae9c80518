import { readFile } from 'node:fs/promises';
import { openApi, routes } from '@tidemark/api';
import { describe, expect, it } from 'vitest';

describe('the description of the API', () => {
  it('stands in openapi.json as the route table gives it', async () => {
    const file: unknown = JSON.parse(await readFile(new URL('../openapi.json', import.meta.url), 'utf8'));

    expect(file, 'stale: run libs/api/scripts/write-openapi.mjs').toEqual(JSON.parse(JSON.stringify(openApi())));
  });

  it('has one operation for each route, by its name', () => {
    const { paths } = openApi() as { paths: Record<string, Record<string, { operationId: string }>> };
    const operations = Object.values(paths).flatMap((methods) =>
      Object.values(methods).map((each) => each.operationId),
    );

    expect(operations.toSorted()).toEqual(Object.keys(routes).toSorted());
  });
});
