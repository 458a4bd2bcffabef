/* The same case, written in every way that the product reads, must give the same analysis as its CSV. */
import { describe, expect, it } from 'vitest';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { asEdf } from '../builders/edf-file.ts';
import { asOru } from '../builders/hl7v2.ts';
import { importTexts } from '../builders/import-text.ts';
import { asBundle, asCsv, asNdjson, fhirResources, makePlainCase, type PlainCase } from '../builders/plain-case.ts';
import { resourceXml } from '../builders/fhir-xml.ts';
import { seededRandom } from '../simulator/random.ts';

/** What an analysis says of the case, without the texts that each way of writing has of its own. */
function figures({ sites, exposures, blind }: CaseAnalysis): unknown {
  return {
    blind: blind.length,
    exposures: exposures.map(({ kind, atMs, endMs, dose, unit, atc, label }) => ({ kind, atMs, endMs, dose, unit, atc, label })),
    sites: sites.map((site) => ({
      site: site.site,
      intervalMs: site.intervalMs,
      monitored: site.monitored,
      monitoredMs: site.monitoredMs,
      counts: site.statusCounts,
      totals: site.totals,
      dropouts: site.dropouts.map(({ lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, lostMs, restoredBy, spo2Before, links }) => ({
        lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, lostMs, restoredBy, spo2Before, links: links.map(({ certainty, leadMs }) => ({ certainty, leadMs })),
      })),
    })),
  };
}

async function analyzed(files: Readonly<Record<string, string | Uint8Array>>): Promise<unknown> {
  const { cases, files: reports } = await importTexts(files);
  expect(reports.map(({ failure, rows_rejected }) => ({ failure, rows_rejected }))).toEqual(reports.map(() => ({ failure: null, rows_rejected: 0 })));
  expect(cases).toHaveLength(1);
  const [record] = cases;
  if (record === undefined) throw new Error('no case');
  return figures(analyzeCase(record, DEFAULT_PARAMETERS, 'test'));
}

const WAYS: Readonly<Record<string, (plain: PlainCase) => Readonly<Record<string, string | Uint8Array>>>> = {
  'FHIR Bundle': (plain) => ({ 'case-a/export': asBundle(fhirResources(plain, 'single values')) }),
  'FHIR Bundle with sampled data, indented': (plain) => ({ 'case-a/export': asBundle(fhirResources(plain, 'sampled data'), 2) }),
  'FHIR NDJSON': (plain) => ({ 'case-a/export': asNdjson(fhirResources(plain, 'single values')) }),
  'FHIR NDJSON, one file for each type': (plain) => {
    const files: Record<string, object[]> = {};
    for (const resource of fhirResources(plain, 'single values')) (files[`case-a/${(resource as { resourceType: string }).resourceType}`] ??= []).push(resource);
    return Object.fromEntries(Object.entries(files).map(([path, resources]) => [path, asNdjson(resources)]));
  },
  'EDF+': (plain) => ({ 'case-a/export': asEdf(plain) }),
  'HL7 v2': (plain) => ({ 'case-a/export': asOru(plain) }),
  'FHIR XML': (plain) => ({ 'case-a/export': resourceXml(fhirResources(plain, 'single values')) }),
};

describe.each(Object.keys(WAYS))('%s', (way) => {
  it('analyses like the CSV of the same case', async () => {
    for (let seed = 1; seed <= 12; seed += 1) {
      const plain = makePlainCase(seededRandom(seed));
      const expected = await analyzed(asCsv(plain, 'case-a'));
      expect(await analyzed(WAYS[way]?.(plain) ?? {}), `seed ${seed}`).toEqual(expected);
    }
  });
});
