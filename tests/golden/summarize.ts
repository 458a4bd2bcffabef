import type { CaseAnalysis, Dropout, FourInstants, Link } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { Range3 } from '../../core/base/interval.ts';

const s = (ms: number | null): number | null => (ms === null ? null : Math.round(ms) / 1000);
const instants = (x: FourInstants): (number | null)[] => [s(x.lastGoodMs), s(x.firstLostMs), s(x.lastLostMs), s(x.firstGoodMs)];
const range = (r: Range3): (number | null)[] => [s(r.low), s(r.mid), s(r.high)];

/** Returns the results of a case that a reader of the program would act on, in seconds: what must not change unnoticed. */
export function summarize(record: CaseRecord, analysis: CaseAnalysis): object {
  const name = (link: Link): string => {
    const e = analysis.exposures.find((x) => x.exposureId === link.exposureId);
    return `${e?.kind} ${e?.label} at ${s(e?.atMs ?? NaN)}, lead ${s(link.leadMs)}, ${link.certainty}`;
  };
  const dropout = (d: Dropout): object => ({
    number: d.number,
    instants_s: instants(d),
    lost_s: range(d.lostMs),
    restored: [d.restoredBy, d.restoredSiteKey, s(d.restoredAfterMs)],
    spo2: [d.spo2Before, d.spo2After],
    marked: d.isMarked,
    bridged_s: s(d.bridgedMs),
    record_gap_s: range(d.recordGapMs),
    patterns: d.patterns,
    links: d.links.map(name),
    responses: d.responses.map(name),
  });
  return {
    case: record.caseId,
    clock: record.origin.clock,
    channels: record.channels.map((c) => `${c.channelId} ${c.unit} ${c.tMs.length} rows, ${c.value.filter((v) => !Number.isNaN(v)).length} values`),
    events: record.events.map((e) => `${s(e.atMs)} ${e.kind} ${e.term} ${e.phase}`),
    drugs: record.drugs.map((d) => `${s(d.atMs)} ${d.inn ?? '?'} ${d.form} ${d.amount ?? '?'} ${d.unit}`),
    bounds_s: [s(analysis.bounds.startMs), s(analysis.bounds.endMs), analysis.bounds.startFrom, analysis.bounds.endFrom],
    sites: analysis.sites.map((site) => ({
      site: site.siteKey,
      segments_s: site.segments.map((x) => [s(x.startMs), s(x.endMs), s(x.intervalMs)]),
      monitored_s: site.monitored === null ? site.notMonitoredReason : [s(site.monitored.startMs), s(site.monitored.endMs), s(site.monitoredMs)],
      statuses: site.statusCounts,
      doubtful_s: s(site.doubtfulMs),
      lost_s: range(site.totals.lostMs),
      doubtful_as_lost: { dropouts: site.totalsDoubtfulLost.count, lost_s: range(site.totalsDoubtfulLost.lostMs) },
      below: site.below.map((b) => [b.thresholdPct, s(b.observedMs), s(b.lowMs), s(b.highMs)]),
      dropouts: site.dropouts.map(dropout),
    })),
    blind: analysis.blind.map((b) => ({ instants_s: instants(b), lost_s: range(b.lostMs), restored: [b.restoredBy, b.restoredSiteKey] })),
    record_gaps: analysis.recordGaps.map((g) => ({ rows_s: [s(g.lastRowMs), s(g.firstMissingMs), s(g.lastMissingMs), s(g.firstRowMs)], gap_s: range(g.gapMs) })),
    exposures: analysis.exposures.map((e) => `${s(e.atMs)} to ${s(e.endMs)} ${e.kind} ${e.label} ${e.dose ?? '?'} ${e.unit}, ${e.dropoutsAfter} after`),
  };
}
