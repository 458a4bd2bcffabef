import { writeFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { z } from 'zod';
import { mappingSchema } from '../../core/model/mapping-schema.ts';
import { readText } from './source-files.ts';

const PAGE = 'docs/formats/mapping.schema.json';

/* The published schema is made from the one that checks mapping files. To make it anew: LACUNA_WRITE_SCHEMA=1 npx vitest run tests/repo/mapping-schema.test.ts */
test('the published JSON Schema of a mapping is the one that is checked', () => {
  const made = { $id: 'urn:lacuna:mapping:1', title: 'Mapping: how files are to be read', ...z.toJSONSchema(mappingSchema, { target: 'draft-2020-12', io: 'input' }) };
  const text = `${JSON.stringify(made, null, 2)}\n`;
  if (process.env['LACUNA_WRITE_SCHEMA'] !== undefined) writeFileSync(new URL(`../../${PAGE}`, import.meta.url), text);
  expect(readText(PAGE)).toBe(text);
});
