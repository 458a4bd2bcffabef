import type { FourInstants } from '../model/analysis.ts';
import type { AgreementFigure, AgreementFigureName, AgreementOptions, AgreementScale, AgreementTable, BlindReading, BoundDifferences, ManyReadersFigure, PairAgreement, ReadCase, ReadDropout, ReviewAgreement } from '../model/review-agreement.ts';
import { AGREEMENT_FIGURES, AGREEMENT_SCALES, COMPARED_BOUNDS } from '../model/review-agreement.ts';
import type { Verdict } from '../model/review.ts';
import { VERDICTS } from '../model/review.ts';
import { repeatedAgreement, simpleAgreement, subjectDifferences } from '../stats/agreement.ts';
import type { OfTotals } from '../stats/case-draws.ts';
import { binomialInterval } from '../stats/clopper-pearson.ts';
import type { BootstrapInterval } from '../stats/cluster-bootstrap.ts';
import { clusterBootstrap } from '../stats/cluster-bootstrap.ts';
import { median } from '../stats/quantile.ts';
import { gwetAC1 } from '../stats/raters/gwet.ts';
import type { CohenKappa } from '../stats/raters/kappa.ts';
import { cohenKappa } from '../stats/raters/kappa.ts';
import { fleissKappa } from '../stats/raters/fleiss.ts';
import { krippendorffAlpha } from '../stats/raters/krippendorff.ts';

/** Limits of agreement lie so many standard deviations from the mean difference. Source: Bland & Altman 1986. */
const LIMIT = 1.96;
const SCALES = Object.keys(AGREEMENT_SCALES) as AgreementScale[]; // the keys of a constant

/** What both readers of a pair said of one dropout. */
interface Both {
  readonly dropout: ReadDropout;
  readonly first: BlindReading;
  readonly second: BlindReading;
}

/**
 * Returns how far readers agree who read the same dropouts without knowing each other's verdicts.
 * Shape   cases in any order: they are drawn anew in the order of their ids, then keys. Tables hold every category of the form.
 * Missing a figure that is not defined is null with its reason; readings after the reveal are counted and in no figure.
 * Source  statistics f and e; docs/methods/rater-agreement.md.
 */
export function reviewAgreement(given: readonly ReadCase[], options: AgreementOptions): ReviewAgreement {
  const cases = [...given].sort(byIdThenKey);
  const dropouts = cases.flatMap((one) => one.dropouts);
  const readers = readersOf(dropouts);
  const pairs = pairsOf(cases, readers.filter(({ blind }) => blind > 0).map(({ by }) => by));
  const asked = options.readers ?? (pairs[0] === undefined ? null : [pairs[0].first, pairs[0].second] as const);
  return {
    options,
    candidates: 'found by the program',
    cases: cases.length,
    dropouts: dropouts.length,
    without: cases.reduce((sum, one) => sum + one.without, 0),
    readers,
    pairs,
    pair: asked === null ? null : pairAgreement(cases, asked[0], asked[1], options),
    many: readers.filter(({ blind }) => blind > 0).length < 3 ? null : manyReaders(cases, readers.filter(({ blind }) => blind > 0).map(({ by }) => by), options),
  };
}

function byIdThenKey(a: ReadCase, b: ReadCase): number {
  return a.caseId < b.caseId ? -1 : a.caseId > b.caseId ? 1 : a.caseKey < b.caseKey ? -1 : a.caseKey > b.caseKey ? 1 : 0;
}

function readersOf(dropouts: readonly ReadDropout[]): ReviewAgreement['readers'] {
  const counts = new Map<string, { blind: number; unblinded: number }>();
  const countsOf = (by: string): { blind: number; unblinded: number } => {
    const own = counts.get(by) ?? { blind: 0, unblinded: 0 };
    counts.set(by, own);
    return own;
  };
  for (const { blind, unblinded } of dropouts) {
    for (const { by } of blind) countsOf(by).blind += 1;
    for (const by of unblinded) countsOf(by).unblinded += 1;
  }
  return [...counts].sort(([a], [b]) => (a < b ? -1 : 1)).map(([by, own]) => ({ by, ...own }));
}

function pairsOf(cases: readonly ReadCase[], readers: readonly string[]): ReviewAgreement['pairs'] {
  const pairs = readers.flatMap((first, at) => readers.slice(at + 1).map((second) => ({ first, second, common: commonOf(cases, first, second).reduce((sum, own) => sum + own.length, 0) })));
  return pairs.filter(({ common }) => common > 0).sort((a, b) => b.common - a.common || (a.first < b.first ? -1 : a.first > b.first ? 1 : a.second < b.second ? -1 : 1));
}

/** The dropouts that both read blinded, by case; cases without one are left out. */
function commonOf(cases: readonly ReadCase[], first: string, second: string): Both[][] {
  return cases
    .map(({ dropouts }) => dropouts.flatMap((dropout): Both[] => {
      const one = dropout.blind.find(({ by }) => by === first);
      const other = dropout.blind.find(({ by }) => by === second);
      return one === undefined || other === undefined ? [] : [{ dropout, first: one, second: other }];
    }))
    .filter((own) => own.length > 0);
}

function pairAgreement(cases: readonly ReadCase[], first: string, second: string, options: AgreementOptions): PairAgreement {
  const common = commonOf(cases, first, second);
  const hasReading = ({ blind, unblinded }: ReadDropout, who: string): boolean => unblinded.includes(who) || blind.some(({ by }) => by === who);
  const all = common.reduce((sum, own) => sum + own.length, 0);
  return {
    first,
    second,
    common: all,
    cases: common.length,
    unblinded: cases.flatMap(({ dropouts }) => dropouts).filter((dropout) => hasReading(dropout, first) && hasReading(dropout, second)).length - all,
    isClustered: common.some((own) => own.length > 1),
    tables: SCALES.map((scale) => agreementTable(common, scale, options)),
    bounds: boundAgreement(common, options.conf),
  };
}

/** The place of a verdict on a scale; null: it has none there. */
function placeOn(scale: AgreementScale, verdict: Verdict): number | null {
  const { loss } = VERDICTS[verdict];
  const words: readonly string[] = AGREEMENT_SCALES[scale].categories;
  const place = words.indexOf(scale === 'kind of verdict' ? verdict : loss === null ? 'cannot tell' : loss ? 'loss' : 'no loss');
  return place < 0 ? null : place;
}

function agreementTable(common: readonly (readonly Both[])[], scale: AgreementScale, options: AgreementOptions): AgreementTable {
  const k = AGREEMENT_SCALES[scale].categories.length;
  const tables = common
    .map((own) => own.flatMap(({ first, second }) => {
      const cell = [placeOn(scale, first.verdict), placeOn(scale, second.verdict)] as const;
      return cell[0] === null || cell[1] === null ? [] : [cell[0] * k + cell[1]];
    }))
    .filter((cells) => cells.length > 0);
  const columns = Array.from({ length: k * k }, (_, cell) => Float64Array.from(tables, (cells) => cells.filter((own) => own === cell).length));
  const counts = Array.from({ length: k }, (_, i) => Array.from({ length: k }, (_unused, j) => (columns[i * k + j] ?? new Float64Array()).reduce((sum, v) => sum + v, 0)));
  const whole = cohenKappa(counts, options.conf);
  return {
    scale,
    counts,
    dropouts: whole.n,
    cases: tables.length,
    expectedAgreement: whole.expectedAgreement,
    kappaMax: whole.kappaMax,
    figures: tables.some((cells) => cells.length > 1) ? drawnFigures(columns, k, whole, options) : formulaFigures(counts, columns, whole, options),
  };
}

const FIGURE_OF: Readonly<Record<AgreementFigureName, (table: CohenKappa) => number | null>> = {
  'percent agreement': ({ percentAgreement }) => percentAgreement,
  'kappa': ({ kappa }) => kappa,
  'PABAK': ({ pabak }) => pabak,
  'AC1': ({ ac1 }) => ac1,
  'prevalence index': ({ prevalenceIndex }) => prevalenceIndex,
  'bias index': ({ biasIndex }) => biasIndex,
  'positive agreement': ({ positiveAgreement }) => positiveAgreement,
  'negative agreement': ({ negativeAgreement }) => negativeAgreement,
};
const namesOf = (k: number): AgreementFigureName[] => AGREEMENT_FIGURES.slice(0, k === 2 ? 8 : 4);

/** Why a figure of a table has no value. */
function whyNone(table: CohenKappa): AgreementFigure['reason'] {
  return table.reason ?? 'nothing-rated';
}

const INTERVAL_REASONS = { 'not defined': 'too-many-undefined', 'one cluster': 'one-case', 'too many draws not defined': 'too-many-undefined', 'all draws alike': 'replicates-alike' } as const;

/** Every figure with limits from drawing whole cases anew: all of them hang on the totals of the cells alone, and share their draws. */
function drawnFigures(columns: readonly Float64Array[], k: number, whole: CohenKappa, options: AgreementOptions): AgreementFigure[] {
  const names = namesOf(k);
  // One table is worked out once for all figures: they are asked for in turn with the same totals.
  let last: { readonly of: Float64Array; readonly key: string; readonly table: CohenKappa } | null = null;
  const tableOf = (totals: Float64Array): CohenKappa => {
    const key = totals.join();
    if (last?.of !== totals || last.key !== key) last = { of: totals, key, table: cohenKappa(square(totals, k), options.conf) };
    return last.table;
  };
  const drawn = clusterBootstrap(columns, names.map((name): OfTotals => (totals) => FIGURE_OF[name](tableOf(totals)) ?? NaN), options);
  return names.map((figure, at) => withDrawn(figure, FIGURE_OF[figure](whole), drawn[at], whyNone(whole)));
}

function withDrawn(figure: AgreementFigureName, estimate: number | null, drawn: BootstrapInterval | undefined, none: AgreementFigure['reason']): AgreementFigure {
  if (estimate === null || drawn === undefined) return { figure, estimate: null, lower: null, upper: null, interval: null, undefinedDraws: 0, reason: none };
  const limits = drawn.percentile;
  return {
    figure,
    estimate,
    lower: limits?.[0] ?? null,
    upper: limits?.[1] ?? null,
    interval: limits === null ? null : 'cases drawn anew',
    undefinedDraws: drawn.dropped,
    reason: limits === null ? INTERVAL_REASONS[drawn.reason ?? 'not defined'] : null,
  };
}

function square(cells: Float64Array, k: number): number[][] {
  return Array.from({ length: k }, (_, i) => [...cells.subarray(i * k, (i + 1) * k)]);
}

/** One dropout of each case: the dropouts are independent, and limits by formula where one is known. */
function formulaFigures(counts: readonly (readonly number[])[], columns: readonly Float64Array[], whole: CohenKappa, options: AgreementOptions): AgreementFigure[] {
  const k = counts.length;
  const same = counts.reduce((sum, row, i) => sum + (row[i] ?? 0), 0);
  const share = binomialInterval(same, whole.n, options.conf);
  const adjusted = (p: number | null): number | null => (p === null ? null : (k * p - 1) / (k - 1));
  const pairs = counts.flatMap((row, i) => row.flatMap((n, j) => Array.from({ length: n }, () => [i, j])));
  const gwet = gwetAC1(pairs, counts.map((_, c) => c), options.conf);
  const limits: Partial<Record<AgreementFigureName, readonly [number | null, number | null]>> = {
    'percent agreement': [share.lower, share.upper],
    'kappa': [whole.lower, whole.upper],
    'PABAK': [adjusted(share.lower), adjusted(share.upper)],
    'AC1': [gwet.lower, gwet.upper],
  };
  const drawn = new Map(drawnFigures(columns, k, whole, options).map((one) => [one.figure, one]));
  return namesOf(k).map((figure) => {
    const estimate = FIGURE_OF[figure](whole);
    const [lower, upper] = limits[figure] ?? [null, null];
    if (estimate === null || lower === null || upper === null) return drawn.get(figure) ?? withDrawn(figure, null, undefined, whyNone(whole));
    return { figure, estimate, lower, upper, interval: 'formula', undefinedDraws: 0, reason: null };
  });
}

/** The bounds that a reader reads. */
function boundsOf(dropout: ReadDropout, reading: BlindReading): FourInstants {
  return reading.correctedBounds ?? dropout;
}

/** The middle of the time in which a loss began, ended, and how long that makes it; null where information never came back. */
function middles({ lastGoodMs, firstLostMs, lastLostMs, firstGoodMs }: FourInstants): Readonly<Record<BoundDifferences['bound'], number | null>> {
  const onset = (lastGoodMs + firstLostMs) / 2;
  const end = lastLostMs === null || firstGoodMs === null ? null : (lastLostMs + firstGoodMs) / 2;
  return { onset, end, length: end === null ? null : end - onset };
}

function boundAgreement(common: readonly (readonly Both[])[], conf: number): PairAgreement['bounds'] {
  const losses = common.map((own) => own.filter(({ first, second }) => VERDICTS[first.verdict].loss === true && VERDICTS[second.verdict].loss === true));
  const moved = losses.map((own) => own.filter(({ first, second }) => first.correctedBounds !== null || second.correctedBounds !== null));
  const count = (lists: readonly (readonly Both[])[]): number => lists.reduce((sum, own) => sum + own.length, 0);
  return {
    corrected: count(moved),
    correctedByBoth: count(moved.map((own) => own.filter(({ first, second }) => first.correctedBounds !== null && second.correctedBounds !== null))),
    leftStanding: count(losses) - count(moved),
    differences: COMPARED_BOUNDS.map((bound) => {
      const byCase = moved
        .map((own) => own.flatMap(({ dropout, first, second }) => {
          const before = middles(boundsOf(dropout, first))[bound];
          const after = middles(boundsOf(dropout, second))[bound];
          return before === null || after === null ? [] : [after - before];
        }))
        .filter((own) => own.length > 0);
      return boundDifferences(bound, byCase, conf);
    }),
  };
}

function boundDifferences(bound: BoundDifferences['bound'], byCase: readonly (readonly number[])[], conf: number): BoundDifferences {
  const differences = byCase.flat();
  const own = { bound, dropouts: differences.length, cases: byCase.length, medianMs: median(differences) };
  if (differences.length === byCase.length) {
    const { bias, lower, upper, lowerLimitCI, upperLimitCI } = simpleAgreement(differences, conf, LIMIT);
    return { ...own, biasMs: bias, lowerMs: lower, upperMs: upper, lowerLimitCI, upperLimitCI };
  }
  const { bias, lower, upper, mover } = repeatedAgreement(byCase.map(subjectDifferences), conf, LIMIT);
  const finite = (limits: readonly [number, number] | undefined): readonly [number, number] | null => (limits?.every(Number.isFinite) === true ? limits : null);
  return { ...own, biasMs: bias, lowerMs: lower, upperMs: upper, lowerLimitCI: finite(mover?.lowerLimitCI), upperLimitCI: finite(mover?.upperLimitCI) };
}

/** More than two readers: on the two scales that hold every verdict. */
function manyReaders(cases: readonly ReadCase[], readers: readonly string[], options: AgreementOptions): ManyReadersFigure[] {
  return (['kind of verdict', 'loss, no loss or cannot tell'] as const).flatMap((scale) => {
    const k = AGREEMENT_SCALES[scale].categories.length;
    const byCase = cases
      .map(({ dropouts }) => dropouts.map(({ blind }) => readers.map((who) => {
        const own = blind.find(({ by }) => by === who);
        return own === undefined ? null : placeOn(scale, own.verdict);
      })).filter((unit) => unit.filter((v) => v !== null).length >= 2))
      .filter((units) => units.length > 0);
    const complete = byCase.map((units) => units.filter((unit) => unit.every((v) => v !== null))).filter((units) => units.length > 0);
    const units = byCase.flat();
    const alpha = krippendorffAlpha(units, 'nominal');
    const ac1 = gwetAC1(units, Array.from({ length: k }, (_, c) => c), options.conf);
    const fleiss = fleissKappa(complete.flat().map((unit) => countsOf(unit, k)));
    const [drawnAlpha, drawnAc1] = clusterBootstrap(unitTotals(byCase, k, true), [alphaOfTotals(k), ac1OfTotals(k)], options);
    const [drawnFleiss] = clusterBootstrap(unitTotals(complete, k, false), [fleissOfTotals(k, readers.length)], options);
    return [
      manyFigure('Krippendorff’s alpha', scale, byCase, alpha.alpha, drawnAlpha, alpha.reason),
      manyFigure('AC1', scale, byCase, ac1.ac1, drawnAc1, ac1.reason),
      manyFigure('Fleiss’ kappa', scale, complete, fleiss.kappa, drawnFleiss, fleiss.reason),
    ];
  });
}

function manyFigure(figure: ManyReadersFigure['figure'], scale: AgreementScale, byCase: readonly (readonly unknown[])[], estimate: number | null, drawn: BootstrapInterval | undefined, reason: ManyReadersFigure['reason']): ManyReadersFigure {
  const limits = estimate === null ? null : (drawn?.percentile ?? null);
  return {
    figure,
    scale,
    dropouts: byCase.reduce((sum, own) => sum + own.length, 0),
    cases: byCase.length,
    estimate,
    lower: limits?.[0] ?? null,
    upper: limits?.[1] ?? null,
    undefinedDraws: estimate === null ? 0 : (drawn?.dropped ?? 0),
    reason: estimate === null ? reason : limits === null ? INTERVAL_REASONS[drawn?.reason ?? 'not defined'] : null,
  };
}

function countsOf(unit: readonly (number | null)[], k: number): number[] {
  return Array.from({ length: k }, (_, c) => unit.filter((v) => v === c).length);
}

/**
 * One number per case and column, so that figures over many readers hang on totals alone: units; the sum of their shares of agreeing
 * pairs, Σ Σ n_c (n_c − 1) / (r − 1) with `isWeighted` and else / (r (r − 1)); readings; then per category shares of units and readings.
 */
function unitTotals(byCase: readonly (readonly (readonly (number | null)[])[])[], k: number, isWeighted: boolean): Float64Array[] {
  const width = 4 + 2 * k;
  const columns = Array.from({ length: width }, () => new Float64Array(byCase.length));
  byCase.forEach((units, at) => {
    for (const unit of units) {
      const counts = countsOf(unit, k);
      const r = counts.reduce((sum, v) => sum + v, 0);
      const pairs = counts.reduce((sum, v) => sum + v * (v - 1), 0);
      const add = (column: number, value: number): void => {
        const into = columns[column];
        if (into !== undefined) into[at] = (into[at] ?? NaN) + value;
      };
      add(0, 1);
      add(1, pairs / (r * (r - 1)));
      add(2, isWeighted ? pairs / (r - 1) : pairs);
      add(3, r);
      counts.forEach((v, c) => {
        add(4 + c, v / r);
        add(4 + k + c, v);
      });
    }
  });
  return columns;
}

/** Nominal alpha from the matrix of coincidences: its diagonal is column 2, its margins are the readings of each category. */
function alphaOfTotals(k: number): OfTotals {
  return (totals) => {
    const n = totals[3] ?? NaN;
    const observed = 1 - (totals[2] ?? NaN) / n;
    let alike = 0;
    for (let c = 0; c < k; c++) alike += (totals[4 + k + c] ?? NaN) ** 2;
    const expected = (n * n - alike) / (n * (n - 1));
    return expected > 0 ? 1 - observed / expected : NaN;
  };
}

/** AC1 where every unit has two readings or more. */
function ac1OfTotals(k: number): OfTotals {
  return (totals) => {
    const n = totals[0] ?? NaN;
    let expected = 0;
    for (let c = 0; c < k; c++) {
      const p = (totals[4 + c] ?? NaN) / n;
      expected += (p * (1 - p)) / (k - 1);
    }
    return ((totals[1] ?? NaN) / n - expected) / (1 - expected);
  };
}

function fleissOfTotals(k: number, raters: number): OfTotals {
  return (totals) => {
    const n = totals[0] ?? NaN;
    let expected = 0;
    for (let c = 0; c < k; c++) expected += ((totals[4 + k + c] ?? NaN) / (n * raters)) ** 2;
    return 1 - expected < 1e-12 ? NaN : ((totals[1] ?? NaN) / n - expected) / (1 - expected);
  };
}
