import type { SitePair } from '../model/site-comparison.ts';
import type { AnalyzedCase } from './case-context.ts';
import { contextOf } from './case-context.ts';
import { CASE_COLUMNS, caseRows } from './cases-table.ts';
import { CLOCK_COLUMNS, clockRows } from './clock-offsets-table.ts';
import { rowsText, type Column } from './column.ts';
import { DROPOUT_COLUMNS, dropoutRows } from './dropouts-table.ts';
import { EXPOSURE_COLUMNS, exposureRows } from './exposures-table.ts';
import { LINK_COLUMNS, linkRows } from './links-table.ts';
import { LOW_COLUMNS, lowRows } from './low-spo2-table.ts';
import { relativeColumns } from './relative-time.ts';
import { ROBUSTNESS_COLUMNS, robustnessRows } from './robustness-table.ts';
import { PAIR_COLUMNS, pairRows } from './site-pairs-table.ts';

/** The tables whose rows each belong to one case. */
export type CaseTable = 'cases.csv' | 'dropouts.csv' | 'dropouts-doubtful-lost.csv' | 'links.csv' | 'exposures.csv' | 'low-spo2.csv' | 'site-pairs.csv' | 'clock-offsets.csv' | 'robustness.csv';

/** Sums over a run are made from these. */
export interface CaseFigures {
  readonly dropouts: number;
  readonly lostMidMs: number;
  readonly blindIntervals: number;
  readonly blindMidMs: number;
}

/** All that the output says of one case, small beside the case itself: text of its rows, without headings. */
export interface CaseReport {
  readonly caseId: string;
  readonly rows: Readonly<Record<CaseTable, string>>;
  readonly pairs: readonly SitePair[];
  readonly figures: CaseFigures;
}

/** What is wanted of the tables of a run. */
export interface CaseReportWishes {
  readonly withRobustness: boolean;
  /** Whether instants are left out but as seconds from the start of the case. */
  readonly relativeTime: boolean;
}

/** Returns what the output says of one case; the rows of `robustness.csv` only where they are wanted, since they take long. */
export function reportCase(analyzed: AnalyzedCase, { withRobustness, relativeTime }: CaseReportWishes): CaseReport {
  const text = <Row>(columns: readonly Column<Row>[], rows: Iterable<Row>): string => rowsText(relativeTime ? relativeColumns(columns) : columns, rows);
  const context = contextOf(analyzed);
  const { analysis } = analyzed;
  const sum = (pick: (site: (typeof analysis.sites)[number]) => number): number => analysis.sites.reduce((total, site) => total + pick(site), 0);
  return {
    caseId: analyzed.record.caseId,
    rows: {
      'cases.csv': text(CASE_COLUMNS, caseRows([context])),
      'dropouts.csv': text(DROPOUT_COLUMNS, dropoutRows([context], 'primary')),
      'dropouts-doubtful-lost.csv': text(DROPOUT_COLUMNS, dropoutRows([context], 'doubtful lost')),
      'links.csv': text(LINK_COLUMNS, linkRows([context])),
      'exposures.csv': text(EXPOSURE_COLUMNS, exposureRows([context])),
      'low-spo2.csv': text(LOW_COLUMNS, lowRows([context])),
      'site-pairs.csv': text(PAIR_COLUMNS, pairRows([context])),
      'clock-offsets.csv': text(CLOCK_COLUMNS, clockRows([context])),
      'robustness.csv': withRobustness ? text(ROBUSTNESS_COLUMNS, robustnessRows([context])) : '',
    },
    pairs: analysis.pairs,
    figures: {
      dropouts: sum((site) => site.dropouts.length),
      lostMidMs: sum((site) => site.totals.lostMs.mid),
      blindIntervals: analysis.blind.length,
      blindMidMs: analysis.blindTotals.lostMs.mid,
    },
  };
}
