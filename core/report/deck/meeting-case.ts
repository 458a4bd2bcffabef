import type { CaseAnalysis, Dropout, Exposure, SiteAnalysis } from '../../model/analysis.ts';
import type { CaseRecord } from '../../model/case.ts';
import type { Channel } from '../../model/channel.ts';
import { siteKey } from '../../model/site.ts';
import type { AnalyzedCase } from '../case-context.ts';

/** Stands where a drug or an event is not one of the dictionary: what was typed may name anybody. */
const UNKNOWN_DRUG = 'a drug that is not in the dictionary';

/**
 * Returns a case as it may be shown at a meeting: no name of it, no list of attributes, no finding, and of drugs, events and sensors
 * only words of the dictionary. Times and numbers are as they are.
 * Shape   sensors that the export names otherwise than by a number or a side are numbered within their site, in the order of the analysis.
 */
export function meetingCase({ record, analysis }: AnalyzedCase): AnalyzedCase {
  const places = placesOf(analysis);
  const nameOf = (key: string): string => places.get(key) ?? key;
  const inns = new Set(record.drugs.flatMap(({ inn }) => (inn === null ? [] : [inn])));
  const terms = new Set(record.events.flatMap(({ term }) => (term === '' ? [] : [term, `${term} ended`])));
  const exposures = analysis.exposures.map((one): Exposure => ({ ...one, label: exposureLabel(one, inns, terms), sourceText: '' }));
  const dropout = (one: Dropout): Dropout => ({ ...one, siteKey: nameOf(one.siteKey), restoredSiteKey: one.restoredSiteKey === null ? null : nameOf(one.restoredSiteKey) });
  const site = (one: SiteAnalysis): SiteAnalysis => ({ ...one, siteKey: nameOf(one.siteKey), sensor: sensorOf(nameOf(one.siteKey), one.site), dropouts: one.dropouts.map(dropout) });
  const channel = (one: Channel): Channel => (one.site === null ? one : { ...one, sensor: sensorOf(nameOf(siteKey({ site: one.site, sensor: one.sensor })), one.site) });
  return {
    record: { ...record, caseId: '', attributes: {}, findings: [], channels: record.channels.map(channel) } satisfies CaseRecord,
    analysis: { ...analysis, exposures, findings: [], sites: analysis.sites.map(site) } satisfies CaseAnalysis,
  };
}

function exposureLabel({ kind, label }: Exposure, inns: ReadonlySet<string>, terms: ReadonlySet<string>): string {
  if (kind === 'vasopressor bolus' || kind === 'infusion change') return inns.has(label) ? label : UNKNOWN_DRUG;
  return terms.has(label) ? label : kind;
}

function placesOf(analysis: CaseAnalysis): ReadonlyMap<string, string> {
  const counts = new Map<string, number>();
  return new Map(analysis.sites.map((one) => {
    const number = (counts.get(one.site) ?? 0) + 1;
    counts.set(one.site, number);
    const isPlain = one.sensor === '' || /^(?:\d{1,2}|left|right)$/.test(one.sensor);
    return [one.siteKey, isPlain ? one.siteKey : siteKey({ site: one.site, sensor: String(number) })];
  }));
}

function sensorOf(key: string, site: string): string {
  return key === site ? '' : key.slice(site.length + 1);
}
