import { chiSquareQuantile, studentQuantile } from './distributions.ts';

/** Differences of pairs that are independent of one another: one per subject. */
export interface SimpleAgreement {
  readonly n: number;
  readonly bias: number | null;
  readonly sd: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly biasLower: number | null;
  readonly biasUpper: number | null;
  readonly seLimit: number | null;
  readonly lowerLimitCI: readonly [number, number] | null;
  readonly upperLimitCI: readonly [number, number] | null;
}

/** What is needed of the differences of one subject. */
export interface SubjectDifferences {
  readonly n: number;
  readonly mean: number;
  /** Sum of the squared deviations from that mean. */
  readonly sumSquares: number;
}

/** Interval of the limits by recovery of variance estimates, centred on the mean of the subjects' means. */
export interface MoverLimits {
  readonly harmonicMean: number;
  readonly varOfSubjectMeans: number;
  readonly varTotal: number;
  readonly varTotalLower: number;
  readonly varTotalUpper: number;
  readonly lowerLimit: number;
  readonly upperLimit: number;
  readonly lowerLimitCI: readonly [number, number];
  readonly upperLimitCI: readonly [number, number];
}

/** Differences of pairs repeated within subjects, the true value varying. */
export interface RepeatedAgreement {
  readonly subjects: number;
  readonly pairs: number;
  readonly bias: number | null;
  readonly meanOfSubjectMeans: number | null;
  readonly msBetween: number | null;
  readonly msWithin: number | null;
  readonly m0: number | null;
  readonly varWithin: number | null;
  readonly varBetween: number | null;
  readonly sdTotal: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly mover: MoverLimits | null;
}

/** Bias, spread and root-mean-square of differences to a reference. */
export interface RootMeanSquare {
  readonly n: number;
  readonly bias: number | null;
  readonly sd: number | null;
  readonly arms: number | null;
}

/**
 * Returns bias and limits of agreement of independent differences, with intervals.
 * Missing one pair: bias only. None: everything null.
 * Source  Bland & Altman, Lancet 1986;327:307; interval of a limit: Stat Methods Med Res 1999;8:135 (exact form).
 */
export function simpleAgreement(differences: readonly number[], conf: number, multiplier: number): SimpleAgreement {
  const n = differences.length;
  const nothing = { n, bias: null, sd: null, lower: null, upper: null, biasLower: null, biasUpper: null, seLimit: null, lowerLimitCI: null, upperLimitCI: null };
  if (n === 0) return nothing;
  const { mean: bias, sumSquares } = subjectDifferences(differences);
  if (n === 1) return { ...nothing, bias };
  const sd = Math.sqrt(sumSquares / (n - 1));
  const t = studentQuantile(1 - (1 - conf) / 2, n - 1);
  const seLimit = sd * Math.sqrt(1 / n + multiplier ** 2 / (2 * (n - 1)));
  const lower = bias - multiplier * sd;
  const upper = bias + multiplier * sd;
  const biasHalf = (t * sd) / Math.sqrt(n);
  return {
    n,
    bias,
    sd,
    lower,
    upper,
    biasLower: bias - biasHalf,
    biasUpper: bias + biasHalf,
    seLimit,
    lowerLimitCI: [lower - t * seLimit, lower + t * seLimit],
    upperLimitCI: [upper - t * seLimit, upper + t * seLimit],
  };
}

/** Returns count, mean and spread of one subject's differences; there must be at least one. */
export function subjectDifferences(differences: readonly number[]): SubjectDifferences {
  const n = differences.length;
  let sum = 0;
  for (const d of differences) sum += d;
  const mean = sum / n;
  let sumSquares = 0;
  for (const d of differences) sumSquares += (d - mean) ** 2;
  return { n, mean, sumSquares };
}

/**
 * Returns bias and limits of agreement of differences repeated within subjects.
 * Shape   one entry per subject with at least one pair. The bias is the mean of all differences.
 * Missing one subject: bias only, no limits for others. No repeats: the simple form. A between-subject variance that comes
 *         out negative is 0.
 * Source  Bland & Altman, J Biopharm Stat 2007;17:571 (true value varies, unequal numbers); intervals: Zou, Stat Methods
 *         Med Res 2013;22:630 (from memory, checked against other software).
 */
export function repeatedAgreement(subjects: readonly SubjectDifferences[], conf: number, multiplier: number): RepeatedAgreement {
  const k = subjects.length;
  const pairs = sumOver(subjects, (s) => s.n);
  const nothing: RepeatedAgreement = {
    subjects: k, pairs, bias: null, meanOfSubjectMeans: null, msBetween: null, msWithin: null, m0: null, varWithin: null, varBetween: null, sdTotal: null, lower: null, upper: null, mover: null,
  };
  if (k === 0) return nothing;
  const bias = sumOver(subjects, (s) => s.n * s.mean) / pairs;
  const meanOfSubjectMeans = sumOver(subjects, (s) => s.mean) / k;
  if (k === 1) return { ...nothing, bias, meanOfSubjectMeans };
  const between = sumOver(subjects, (s) => s.n * (s.mean - bias) ** 2);
  const msBetween = between / (k - 1);
  if (pairs === k) {
    const sdTotal = Math.sqrt(msBetween);
    return { ...nothing, bias, meanOfSubjectMeans, msBetween, sdTotal, lower: bias - multiplier * sdTotal, upper: bias + multiplier * sdTotal };
  }
  const msWithin = sumOver(subjects, (s) => s.sumSquares) / (pairs - k);
  const m0 = (pairs ** 2 - sumOver(subjects, (s) => s.n ** 2)) / ((k - 1) * pairs);
  const varBetween = Math.max(0, (msBetween - msWithin) / m0);
  const sdTotal = Math.sqrt(varBetween + msWithin);
  return {
    subjects: k,
    pairs,
    bias,
    meanOfSubjectMeans,
    msBetween,
    msWithin,
    m0,
    varWithin: msWithin,
    varBetween,
    sdTotal,
    lower: bias - multiplier * sdTotal,
    upper: bias + multiplier * sdTotal,
    mover: moverLimits(subjects, pairs, meanOfSubjectMeans, msWithin, conf),
  };
}

function moverLimits(subjects: readonly SubjectDifferences[], pairs: number, centre: number, varWithin: number, conf: number): MoverLimits {
  const k = subjects.length;
  const tail = (1 - conf) / 2;
  const z = Math.sqrt(chiSquareQuantile(conf, 1));
  const harmonicMean = k / sumOver(subjects, (s) => 1 / s.n);
  const varOfSubjectMeans = sumOver(subjects, (s) => (s.mean - centre) ** 2) / (k - 1);
  const within = (1 - 1 / harmonicMean) * varWithin;
  const varTotal = varOfSubjectMeans + within;
  const factor = (df: number, p: number) => df / chiSquareQuantile(p, df) - 1;
  const varTotalLower = varTotal - Math.hypot(varOfSubjectMeans * factor(k - 1, 1 - tail), within * factor(pairs - k, 1 - tail));
  const varTotalUpper = varTotal + Math.hypot(varOfSubjectMeans * factor(k - 1, tail), within * factor(pairs - k, tail));
  const half = z * Math.sqrt(varTotal);
  const ofCentre = (z ** 2 * varOfSubjectMeans) / k;
  const towards = Math.sqrt(ofCentre + z ** 2 * (Math.sqrt(varTotal) - Math.sqrt(Math.max(0, varTotalLower))) ** 2);
  const away = Math.sqrt(ofCentre + z ** 2 * (Math.sqrt(varTotalUpper) - Math.sqrt(varTotal)) ** 2);
  return {
    harmonicMean,
    varOfSubjectMeans,
    varTotal,
    varTotalLower,
    varTotalUpper,
    lowerLimit: centre - half,
    upperLimit: centre + half,
    lowerLimitCI: [centre - half - away, centre - half + towards],
    upperLimitCI: [centre + half - towards, centre + half + away],
  };
}

/**
 * Returns bias, SD and root-mean-square of test − reference over the pairs whose reference lies in [min, max].
 * Missing no pair in range: null; one: no SD.
 * Source  ISO 80601-2-61, Arms over a range of the reference (from memory). Between two oximeters neither is a reference:
 *         the same figure is then called root-mean-square difference, never accuracy.
 */
export function rootMeanSquare(test: readonly number[], reference: readonly number[], min: number, max: number): RootMeanSquare {
  const differences = test.flatMap((v, i) => {
    const r = reference[i] ?? NaN;
    return r >= min && r <= max ? [v - r] : [];
  });
  const n = differences.length;
  if (n === 0) return { n, bias: null, sd: null, arms: null };
  const { mean: bias, sumSquares } = subjectDifferences(differences);
  return { n, bias, sd: n > 1 ? Math.sqrt(sumSquares / (n - 1)) : null, arms: Math.sqrt(bias ** 2 + sumSquares / n) };
}

function sumOver<T>(list: readonly T[], pick: (one: T) => number): number {
  let sum = 0;
  for (const one of list) sum += pick(one);
  return sum;
}
