import { writeFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { z } from 'zod';
import { reviewsFileSchema } from '../../core/model/reviews-file-schema.ts';
import { readText } from './source-files.ts';

const PAGE = 'docs/formats/reviews-file.schema.json';

/* The published schema is made from the one that checks files of reviews. To make it anew: LACUNA_WRITE_SCHEMA=1 npx vitest run tests/repo/reviews-file-schema.test.ts */
test('the published JSON Schema of a file of reviews is the one that is checked', () => {
  const made = { $id: 'urn:lacuna:reviews:1', title: 'Reviews of a library, signed', ...z.toJSONSchema(reviewsFileSchema, { target: 'draft-2020-12', io: 'input' }) };
  const text = `${JSON.stringify(made, null, 2)}\n`;
  if (process.env['LACUNA_WRITE_SCHEMA'] !== undefined) writeFileSync(new URL(`../../${PAGE}`, import.meta.url), text);
  expect(readText(PAGE)).toBe(text);
});
