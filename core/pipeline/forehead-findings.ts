import type { Finding } from '../base/finding.ts';
import type { Interval } from '../base/interval.ts';
import { coveredMs, union } from '../base/interval.ts';
import type { SiteAnalysis } from '../model/analysis.ts';

/**
 * Returns a note for each forehead sensor that was worn while the patient lay head down: false low values are possible.
 * Source  analysis-spec 9; handbook 4.1 (venous pulsation in 5 of 25 anaesthetics head down: Shelley 2005; Agashe 2006).
 */
export function foreheadFindings(sites: readonly SiteAnalysis[], headDown: readonly Interval[]): Finding[] {
  return sites.flatMap(({ site, siteKey, monitored }) => {
    const minutes = site !== 'forehead' || monitored === null ? 0 : coveredMs(monitored, union(headDown)) / 60_000;
    if (minutes === 0) return [];
    return [
      {
        code: 'forehead-head-down',
        severity: 'note' as const,
        message: `SpO2 ${siteKey} was worn head down for ${Math.round(minutes)} min: venous pulsation can make it read falsely low there.`,
        count: 1,
      },
    ];
  });
}
