import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';

/** What a stored case covers, for the end of an import. */
export interface Coverage {
  readonly spanMs: number;
  readonly channels: number;
  readonly recordGaps: number;
  readonly longestGapMs: number;
  readonly sites: readonly { readonly siteKey: string; readonly intervalMs: number | null; readonly monitoredMs: number; readonly usableShare: number | null }[];
}

/** Returns span, channels, gaps and the usable share of each site of a case. */
export function describeCoverage(record: CaseRecord, analysis: CaseAnalysis): Coverage {
  return {
    spanMs: analysis.bounds.endMs - analysis.bounds.startMs,
    channels: record.channels.length,
    recordGaps: analysis.recordGaps.length,
    longestGapMs: analysis.recordGaps.reduce((longest, gap) => Math.max(longest, gap.gapMs.mid), 0),
    sites: analysis.sites.map((site) => ({
      siteKey: site.siteKey,
      intervalMs: site.intervalMs,
      monitoredMs: site.monitoredMs,
      usableShare: site.totals.shareMid === null ? null : 1 - site.totals.shareMid,
    })),
  };
}
