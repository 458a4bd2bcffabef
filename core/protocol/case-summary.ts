import type { CaseAnalysis } from '../model/analysis.ts';
import type { CaseRecord } from '../model/case.ts';
import { siteKey } from '../model/site.ts';
import type { CaseSummary } from './host-api.ts';
import { CaseClock } from '../time/case-clock.ts';

/**
 * Returns the library's line for one case: losses summed over its sites, blind time for the case as a whole.
 * Missing  without an analysis the figures are 0 and `problem` says why; `date` is null for an undated record.
 */
export function summarizeCase(caseKey: string, record: CaseRecord, analysis: CaseAnalysis | null): CaseSummary {
  const sites = analysis?.sites ?? [];
  const sum = (pick: (site: (typeof sites)[number]) => number): number => sites.reduce((total, site) => total + pick(site), 0);
  const monitoredMs = sum((site) => site.monitoredMs);
  const lostMidMs = sum((site) => site.totals.lostMs.mid);
  const intervals = sites.flatMap((site) => (site.intervalMs === null ? [] : [site.intervalMs]));
  return {
    caseKey,
    caseId: record.caseId,
    sites: analysis === null ? sitesOf(record) : sites.map((site) => site.siteKey),
    date: new CaseClock(record.origin).isoText(0).slice(0, 10) || null,
    dropouts: sum((site) => site.totals.count),
    lostMidMs,
    lostLowMs: sum((site) => site.totals.lostMs.low),
    lostHighMs: sum((site) => site.totals.lostMs.high),
    longestMidMs: sites.reduce((longest, site) => Math.max(longest, site.totals.longestMidMs), 0),
    blindMidMs: analysis?.blindTotals.lostMs.mid ?? 0,
    monitoredMs,
    shareMid: monitoredMs > 0 ? lostMidMs / monitoredMs : null,
    doubtfulLost: secondResult(sites),
    intervalMs: intervals.length === 0 ? null : Math.min(...intervals),
    channels: record.channels.length,
    findings: record.findings.length + (analysis?.findings.length ?? 0),
    sourceNames: record.sources.map((source) => source.name),
    problem: analysis === null ? 'This case was stored without its analysis. Save the analysis parameters again to have it analysed.' : null,
  };
}

/** Returns the line of a stored case that cannot be opened. */
export function summarizeUnreadable(caseKey: string, problem: string): CaseSummary {
  return {
    caseKey, caseId: '', sites: [], date: null, dropouts: 0, lostMidMs: 0, lostLowMs: 0, lostHighMs: 0, longestMidMs: 0, blindMidMs: 0,
    monitoredMs: 0, shareMid: null, doubtfulLost: { dropouts: 0, lostMidMs: 0, shareMid: null }, intervalMs: null, channels: 0, findings: 0, sourceNames: [], problem,
  };
}

/** The share is of the time that each sensor's second result is set against. */
function secondResult(sites: CaseAnalysis['sites']): CaseSummary['doubtfulLost'] {
  let dropouts = 0;
  let lostMidMs = 0;
  let withinMs = 0;
  for (const { monitoredMs, totalsDoubtfulLost: second } of sites) {
    dropouts += second.count;
    lostMidMs += second.lostMs.mid;
    // A loss at the end that only the second result has reaches on beyond the primary one's time.
    withinMs += second.shareMid === null || second.lostMs.mid === 0 ? monitoredMs : second.lostMs.mid / second.shareMid;
  }
  return { dropouts, lostMidMs, shareMid: withinMs > 0 ? lostMidMs / withinMs : null };
}

function sitesOf(record: CaseRecord): string[] {
  const keys = record.channels.flatMap((channel) => (channel.quantity === 'spo2' && channel.site !== null ? [siteKey({ site: channel.site, sensor: channel.sensor })] : []));
  return [...new Set(keys)];
}
