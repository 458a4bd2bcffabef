import { confirmedFigures } from '../metrics/confirmed-figures.ts';
import type { FourInstants, SiteAnalysis } from '../model/analysis.ts';
import type { ConfirmedFigures, CountedLosses, ReviewCounts } from '../model/confirmed.ts';
import type { ReviewedDropout } from '../model/review.ts';
import type { CaseContext } from './case-context.ts';
import type { CaseRow } from './cases-table.ts';
import type { Column } from './column.ts';
import type { DropoutRow } from './dropouts-table.ts';
import { computed, seconds } from './numbers.ts';

/** Returns what readers made of a case for its tables; null where nobody asked. */
export function reviewedContext(context: CaseContext): ReviewedContext | null {
  const { review, record, analysis } = context;
  if (review === undefined || review === null) return null;
  return { dropouts: new Map(review.dropouts.map((dropout) => [dropout.dropoutId, dropout])), figures: confirmedFigures(record, analysis, review), review };
}

/** What the columns of reviews look up. */
export interface ReviewedContext {
  readonly dropouts: ReadonlyMap<string, ReviewedDropout>;
  readonly figures: ConfirmedFigures;
  readonly review: NonNullable<CaseContext['review']>;
}

/** A row with what readers said. */
export type Reviewed<Row> = Row & { readonly said: ReviewedContext | null };

const ONLY = 'only with `--reviews`; empty for blind intervals, which bear no verdict of their own';
const dropoutOf = (row: Reviewed<DropoutRow>): ReviewedDropout | null => (row.kind === 'dropout' ? (row.said?.dropouts.get(row.episode.dropoutId) ?? null) : null);
const distinct = (texts: readonly string[]): string => [...new Set(texts)].join(';');
const confirmedOf = (row: Reviewed<DropoutRow>) => (row.kind === 'dropout' ? (row.said?.figures.confirmed.sites.flatMap(({ dropouts }) => dropouts).find(({ dropoutId }) => dropoutId === row.episode.dropoutId) ?? null) : null);

const corrected = (name: string, pick: (bounds: FourInstants) => number | null, meaning: string): Column<Reviewed<DropoutRow>> => ({
  name: `corrected_${name}_s`,
  meaning: `${meaning}, as corrected`,
  unit: 's',
  type: 'number',
  how: 'by the consensus, or by a single reader, or by all readers alike; seconds from the first trend row of the case; empty where the computed bounds stand, and for the last two where information never came back',
  cell: (row) => {
    const bounds = dropoutOf(row)?.correctedBounds ?? null;
    return bounds === null ? null : seconds(pick(bounds));
  },
});

/** The columns that a run with `--reviews` adds to dropouts.csv. */
export const DROPOUT_REVIEW_COLUMNS: readonly Column<Reviewed<DropoutRow>>[] = [
  { name: 'review', meaning: 'what all that was said of the dropout comes to', unit: '', how: `\`confirmed\`, \`refuted\`, \`cannot tell\`, \`disputed\` or \`not reviewed\`; ${ONLY}`, cell: (row) => (row.kind === 'blind' ? null : (dropoutOf(row)?.outcome ?? 'not reviewed')) },
  { name: 'verdict', meaning: 'the verdict that figures use', unit: '', how: 'that of the consensus, or the readers’ common one; empty where there is none, or where readers name different kinds of loss', cell: (row) => dropoutOf(row)?.verdict ?? null },
  { name: 'certainty', meaning: 'how sure they were', unit: '', how: 'of the verdicts that count, each once, several parted by ";"; none for `cannot tell`', cell: (row) => distinct(dropoutOf(row)?.verdicts.filter(({ isCounted }) => isCounted).flatMap(({ judgement }) => judgement.certainty ?? []) ?? []) },
  { name: 'readers', meaning: 'who read it', unit: '', how: 'local names (in a bundle codes, unless identifiers were kept), parted by ";"; one of another library bears the first digits of its key', cell: (row) => distinct(dropoutOf(row)?.verdicts.filter(({ role }) => role === 'reading').map(({ by }) => by) ?? []) },
  { name: 'consensus', meaning: 'whether readers settled it together', unit: '', type: 'yes or no', how: '`yes` or `no`; empty where nobody read it', cell: (row) => ((dropoutOf(row)?.verdicts.length ?? 0) === 0 ? null : (dropoutOf(row)?.verdicts.some(({ role }) => role === 'consensus') ?? null)) },
  { name: 'anchor_state', meaning: 'how the verdicts stand to the dropout of this run', unit: '', how: '`same`: the same four instants; `moved`: others; `split`: the verdict was on a longer one; `joined`: several verdicts of one reader on what is one now; each once, parted by ";"', cell: (row) => distinct(dropoutOf(row)?.verdicts.map(({ state }) => state) ?? []) },
  { name: 'saw_another_analysis', meaning: 'whether a verdict was given on another set of parameters, or other inputs', unit: '', type: 'yes or no', how: '`yes` or `no`; empty where nobody read it', cell: (row) => ((dropoutOf(row)?.verdicts.length ?? 0) === 0 ? null : (dropoutOf(row)?.verdicts.some(({ sawAnother }) => sawAnother) ?? null)) },
  corrected('last_good', (bounds) => bounds.lastGoodMs, 'last sample with information before the loss'),
  corrected('first_lost', (bounds) => bounds.firstLostMs, 'first lost sample'),
  corrected('last_lost', (bounds) => bounds.lastLostMs, 'last lost sample'),
  corrected('first_good', (bounds) => bounds.firstGoodMs, 'first sample with information after the loss'),
  { name: 'confirmed_lost_low_s', meaning: 'time lost that is confirmed, low estimate', unit: 's', type: 'number', how: 'with corrected bounds where those stand; empty where it is not confirmed, or too short once corrected', cell: (row) => seconds(confirmedOf(row)?.lostMs.low ?? null) },
  { name: 'confirmed_lost_mid_s', meaning: 'time lost that is confirmed, mid estimate', unit: 's', type: 'number', how: 'as confirmed_lost_low_s', cell: (row) => seconds(confirmedOf(row)?.lostMs.mid ?? null) },
  { name: 'confirmed_lost_high_s', meaning: 'time lost that is confirmed, high estimate', unit: 's', type: 'number', how: 'as confirmed_lost_low_s', cell: (row) => seconds(confirmedOf(row)?.lostMs.high ?? null) },
];

const countsOf = ({ said, site }: Reviewed<CaseRow>): ReviewCounts | null => (said === null ? null : site === null ? said.figures.all : (said.figures.counts.find(({ siteKey }) => siteKey === site.siteKey) ?? null));
const countColumn = (name: string, meaning: string, pick: (counts: ReviewCounts) => number): Column<Reviewed<CaseRow>> => ({
  name, meaning, unit: '', type: 'number', how: 'dropouts of the sensor (row of the case: of all its sensors together); only with `--reviews`',
  cell: (row) => {
    const counts = countsOf(row);
    return counts === null ? null : pick(counts);
  },
});

function totalsOf(losses: CountedLosses, site: SiteAnalysis | null): CountedLosses['blindTotals'] | null {
  return site === null ? losses.blindTotals : (losses.sites.find(({ siteKey }) => siteKey === site.siteKey)?.totals ?? null);
}

function lostColumns(prefix: 'confirmed' | 'not_refuted', which: string, pick: (figures: ConfirmedFigures) => CountedLosses): Column<Reviewed<CaseRow>>[] {
  const totals = ({ said, site }: Reviewed<CaseRow>) => (said === null ? null : totalsOf(pick(said.figures), site));
  return [
    { name: `${prefix}_dropouts`, meaning: `number of ${which} dropouts (of blind intervals that follow from them in the row of the case)`, unit: '', type: 'number', how: 'without those that are too short once corrected', cell: (row) => totals(row)?.count ?? null },
    { name: `${prefix}_lost_low_s`, meaning: `time lost by ${which} dropouts, low estimate`, unit: 's', type: 'number', how: 'corrected bounds where those stand', cell: (row) => seconds(totals(row)?.lostMs.low ?? null) },
    { name: `${prefix}_lost_mid_s`, meaning: `time lost by ${which} dropouts, mid estimate`, unit: 's', type: 'number', how: 'corrected bounds where those stand', cell: (row) => seconds(totals(row)?.lostMs.mid ?? null) },
    { name: `${prefix}_lost_high_s`, meaning: `time lost by ${which} dropouts, high estimate`, unit: 's', type: 'number', how: 'corrected bounds where those stand', cell: (row) => seconds(totals(row)?.lostMs.high ?? null) },
    { name: `${prefix}_share_mid`, meaning: `share of the monitored time that was lost by ${which} dropouts`, unit: '1', type: 'number', how: `${prefix}_lost_mid_s / monitored_s, which stays that of the computed result; empty where nothing was monitored`, cell: (row) => computed(totals(row)?.shareMid ?? null) },
  ];
}

/** The columns that a run with `--reviews` adds to cases.csv. */
export const CASE_REVIEW_COLUMNS: readonly Column<Reviewed<CaseRow>>[] = [
  countColumn('review_confirmed', 'confirmed', (counts) => counts.confirmed),
  countColumn('review_refuted', 'refuted', (counts) => counts.refuted),
  countColumn('review_cannot_tell', 'read, and it cannot be told', (counts) => counts.cannotTell),
  countColumn('review_disputed', 'on which readers differ', (counts) => counts.disputed),
  countColumn('review_not_reviewed', 'of which nobody has said anything', (counts) => counts.notReviewed),
  countColumn('review_corrected', 'of the confirmed: with corrected bounds', (counts) => counts.corrected),
  countColumn('review_too_short', 'of these: too short for a dropout once corrected', (counts) => counts.tooShort),
  { name: 'review_without_dropout', meaning: 'verdicts that stand at no dropout of this run', unit: '', type: 'number', how: 'in no figure; listed in reviews.csv; only in the row of the case', cell: ({ said, site }) => (said === null || site !== null ? null : said.figures.without) },
  ...lostColumns('confirmed', 'confirmed', ({ confirmed }) => confirmed),
  ...lostColumns('not_refuted', 'not refuted', ({ notRefuted }) => notRefuted),
  { name: 'case_flags', meaning: 'flags of the whole case', unit: '', how: 'of all readers, each once, parted by ";"; only in the row of the case', cell: ({ said, site }) => (said === null || site !== null ? null : distinct(said.review.flags.flatMap(({ flags }) => flags))) },
];
