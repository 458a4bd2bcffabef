import { test } from 'vitest';
import { asBundle, asNdjson, fhirResources, makePlainCase } from '../builders/plain-case.ts';
import { FIRST_SEED, runFuzz, RUNS } from './broken-input.ts';
import { resourceXml } from '../builders/fhir-xml.ts';

const encoder = new TextEncoder();

test(`${RUNS} broken FHIR files from seed ${FIRST_SEED} on end in a report`, { timeout: 3_600_000 }, async () => {
  await runFuzz('case-a/export.csv', (random) => {
    const resources = fhirResources(makePlainCase(random), random.pick(['single values', 'sampled data'] as const)).slice(0, random.int(1, 60));
    const text = random.pick([() => asBundle(resources), () => asBundle(resources, 2), () => asNdjson(resources), () => JSON.stringify(resources[0] ?? {}), () => JSON.stringify(resources), () => resourceXml(resources)])();
    return encoder.encode(text);
  });
});
