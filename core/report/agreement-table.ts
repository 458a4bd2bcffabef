import type { AgreementScale, ReviewAgreement } from '../model/review-agreement.ts';
import { AGREEMENT_SCALES } from '../model/review-agreement.ts';
import type { Column } from './column.ts';
import { headingText, rowsText } from './column.ts';
import { computed } from './numbers.ts';

/** A row of agreement.csv: one figure. */
export interface AgreementRow {
  readonly agreement: ReviewAgreement;
  readonly readers: readonly string[];
  readonly scale: string;
  readonly figure: string;
  readonly unit: string;
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly interval: string | null;
  readonly dropouts: number;
  readonly cases: number;
  readonly undefinedDraws: number;
  readonly reason: string | null;
}

/** The columns of agreement.csv. */
export const AGREEMENT_COLUMNS: readonly Column<AgreementRow>[] = [
  { name: 'readers', meaning: 'whose readings', unit: '', how: 'local names, two of them or all, parted by ` + `', cell: ({ readers }) => readers.join(' + ') },
  { name: 'scale', meaning: 'how verdicts were put together', unit: '', how: '`kind of verdict`: all categories of the form; `loss, no loss or cannot tell`; `loss or no loss`: only dropouts of which both could tell; `onset`, `end`, `length`: of corrected bounds', cell: ({ scale }) => scale },
  { name: 'figure', meaning: 'what was worked out', unit: '', how: 'see docs/methods/rater-agreement.md; `bias`, `lower limit`, `upper limit`, `median`: of differences of bounds, second reader minus first', cell: ({ figure }) => figure },
  { name: 'unit', meaning: 'of the estimate and its limits', unit: '', how: '`1` or `s`', cell: ({ unit }) => unit },
  { name: 'estimate', meaning: 'the figure', unit: 'as in unit', type: 'number', how: 'empty: not defined, see reason', cell: ({ estimate }) => computed(estimate) },
  { name: 'lower', meaning: 'lower limit of its interval', unit: 'as in unit', type: 'number', how: 'see interval', cell: ({ lower }) => computed(lower) },
  { name: 'upper', meaning: 'upper limit of its interval', unit: 'as in unit', type: 'number', how: 'see interval', cell: ({ upper }) => computed(upper) },
  { name: 'interval', meaning: 'where the limits come from', unit: '', how: '`cases drawn anew` (percentiles; dropouts of one case stay together) or `formula` (one dropout per case)', cell: ({ interval }) => interval },
  { name: 'dropouts', meaning: 'dropouts that it rests on', unit: '', type: 'number', how: 'read blinded by the readers', cell: ({ dropouts }) => dropouts },
  { name: 'cases', meaning: 'their cases', unit: '', type: 'number', how: 'limits from fewer than 10 are too narrow', cell: ({ cases }) => cases },
  { name: 'undefined_draws', meaning: 'draws in which the figure was not defined', unit: '', type: 'number', how: 'left out; more than 5 %: no limits', cell: ({ undefinedDraws }) => undefinedDraws },
  { name: 'reason', meaning: 'why there is no estimate, or no limits', unit: '', how: 'words of docs/methods/rater-agreement.md', cell: ({ reason }) => reason },
  { name: 'candidates', meaning: 'how the dropouts came to be read', unit: '', how: '`found by the program`: none that it missed is among them', cell: ({ agreement }) => agreement.candidates },
  { name: 'confidence', meaning: 'of the limits', unit: '1', type: 'number', how: 'as asked', cell: ({ agreement }) => agreement.options.conf },
  { name: 'draws', meaning: 'how often cases were drawn anew', unit: '', type: 'number', how: 'as asked', cell: ({ agreement }) => agreement.options.replicates },
  { name: 'seed', meaning: 'of the stream of draws', unit: '', type: 'number', how: 'MT19937', cell: ({ agreement }) => agreement.options.seed },
];

/** Returns agreement.csv. Missing no two readers with a dropout in common: the headings alone. */
export function agreementText(agreement: ReviewAgreement): string {
  return headingText(AGREEMENT_COLUMNS) + rowsText(AGREEMENT_COLUMNS, agreementRows(agreement));
}

function agreementRows(agreement: ReviewAgreement): AgreementRow[] {
  const { pair, many } = agreement;
  const rows: AgreementRow[] = [];
  if (pair !== null) {
    const readers = [pair.first, pair.second];
    for (const { scale, dropouts, cases, figures } of pair.tables) {
      for (const own of figures) rows.push({ agreement, readers, scale, unit: '1', dropouts, cases, ...own });
    }
    for (const { bound, dropouts, cases, medianMs, biasMs, lowerMs, upperMs, lowerLimitCI, upperLimitCI } of pair.bounds.differences) {
      const row = (figure: string, ms: number | null, limits: readonly [number, number] | null): AgreementRow => ({
        agreement, readers, scale: bound, figure, unit: 's', estimate: inSeconds(ms), lower: inSeconds(limits?.[0] ?? null), upper: inSeconds(limits?.[1] ?? null), interval: limits === null ? null : 'formula', dropouts, cases, undefinedDraws: 0,
        reason: ms === null ? (cases === 0 ? 'nothing-rated' : 'one-case') : null,
      });
      rows.push(row('median', medianMs, null), row('bias', biasMs, null), row('lower limit', lowerMs, lowerLimitCI), row('upper limit', upperMs, upperLimitCI));
    }
  }
  const readers = agreement.readers.filter(({ blind }) => blind > 0).map(({ by }) => by);
  for (const own of many ?? []) rows.push({ agreement, readers, unit: '1', interval: own.lower === null ? null : 'cases drawn anew', ...own });
  return rows;
}

function inSeconds(ms: number | null): number | null {
  return ms === null ? null : ms / 1000;
}

/** A row of verdict-table.csv: one cell of a table of two readers. */
export interface VerdictCell {
  readonly scale: AgreementScale;
  readonly first: string;
  readonly second: string;
  readonly firstVerdict: string;
  readonly secondVerdict: string;
  readonly dropouts: number;
}

/** The columns of verdict-table.csv. */
export const VERDICT_TABLE_COLUMNS: readonly Column<VerdictCell>[] = [
  { name: 'scale', meaning: 'how verdicts were put together', unit: '', how: 'as in agreement.csv', cell: ({ scale }) => scale },
  { name: 'first_reader', meaning: 'the one reader', unit: '', how: 'local name', cell: ({ first }) => first },
  { name: 'second_reader', meaning: 'the other reader', unit: '', how: 'local name', cell: ({ second }) => second },
  { name: 'first_verdict', meaning: 'what the one reader said', unit: '', how: 'a category of the form, used or not', cell: ({ firstVerdict }) => firstVerdict },
  { name: 'second_verdict', meaning: 'what the other reader said', unit: '', how: 'a category of the form, used or not', cell: ({ secondVerdict }) => secondVerdict },
  { name: 'dropouts', meaning: 'dropouts of which they said so', unit: '', type: 'number', how: 'both having read it blinded', cell: ({ dropouts }) => dropouts },
];

/** Returns verdict-table.csv: every cell of the tables of the two readers, the empty ones too. */
export function verdictTableText({ pair }: ReviewAgreement): string {
  const cells = pair === null ? [] : pair.tables.flatMap(({ scale, counts }) => {
    const { categories } = AGREEMENT_SCALES[scale];
    return categories.flatMap((firstVerdict, i) => categories.map((secondVerdict, j): VerdictCell => ({ scale, first: pair.first, second: pair.second, firstVerdict, secondVerdict, dropouts: counts[i]?.[j] ?? 0 })));
  });
  return headingText(VERDICT_TABLE_COLUMNS) + rowsText(VERDICT_TABLE_COLUMNS, cells);
}
