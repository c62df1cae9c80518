import { openApi } from '@tidemark/api';
import { Validator } from '@seriousme/openapi-schema-validator';
import { describe, expect, it } from 'vitest';

describe('the description of the desk’s API', () => {
  it('is valid OpenAPI 3.1 by the schema of the OpenAPI Initiative', async () => {
    const validator = new Validator();

    const result = await validator.validate(structuredClone(openApi()));

    expect({ valid: result.valid, errors: result.errors, version: validator.version }).toEqual({
      valid: true,
      errors: undefined,
      version: '3.1',
    });
  });

  it('is refused by the same validator once an operation has no responses', async () => {
    const broken = structuredClone(openApi()) as { paths: Record<string, Record<string, { responses?: unknown }>> };
    broken.paths['/api/risers'] = { get: { responses: 'none' } };

    const result = await new Validator().validate(broken);

    expect(result.valid).toBe(false);
  });
});
