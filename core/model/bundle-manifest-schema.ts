import { z } from 'zod';
import { BUNDLE_KIND, type BundleManifest } from './bundle-manifest.ts';
import { cohortOptionsSchema } from './cohort-options-schema.ts';

const name = z.string().min(1).max(4096);
const digest = { file: name, sha256: z.string().regex(/^(?:[0-9a-f]{64})?$/, 'no SHA-256 as 64 hexadecimal digits'), byte_length: z.number().int().min(0) };
/** A file of a bundle lies in it: no way leads out of its folder. */
const inBundle = name.regex(/^(?:tables\/)?[a-z0-9][A-Za-z0-9.-]*$|^README\.md$/, 'no name of a file of a bundle');

/** manifest.json of a bundle as plain data. */
export const bundleManifestSchema: z.ZodType<BundleManifest> = z.strictObject({
  kind: z.literal(BUNDLE_KIND),
  product: z.literal('lacuna'),
  product_version: z.string().min(1).max(100),
  source: z.enum(['inputs', 'library']),
  call: z.string().max(100_000),
  options: z.strictObject({
    zone: z.string().max(100).nullable(),
    isZoneLeftOut: z.boolean(),
    keepIdentifiers: z.boolean(),
    pseudonyms: z.enum(['key from a file', 'key from the input', 'key of the library']),
    relativeTime: z.boolean(),
    robustness: z.boolean(),
    caseListColumn: z.string().max(1000).nullable(),
    caseListDate: z.string().max(1000).nullable(),
    cohort: cohortOptionsSchema,
    cases: z.array(z.string().regex(/^[0-9a-f]{16,64}$/)).max(1_000_000).optional(),
  }),
  given: z.array(z.strictObject({ ...digest, option: z.string().max(100) })).max(10_000),
  inputs: z.array(z.strictObject(digest)),
  files: z.array(z.strictObject({ ...digest, file: inBundle })).max(1000),
  made: z.iso.datetime({ offset: true }).nullable(),
});
