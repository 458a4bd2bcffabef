import type {
  FormulaSize, LibrarySite, NextStudy, NextStudyOptions, NoStudyReason, Simulated, StudyCaution, StudySize, StudyUnit, UnitSite, WantedSize,
} from '../model/next-study.ts';
import { clusterRateSize } from '../stats/cluster-rate-size.ts';
import { chiSquareQuantile, studentQuantile } from '../stats/distributions.ts';
import { RankSums, SignedRanks } from '../stats/drawn-ranks.ts';
import { mersenneTwister } from '../stats/mersenne-twister.ts';
import { normalQuantile } from '../stats/normal.ts';
import { leastSize, tTestPower } from '../stats/t-test-power.ts';
import { HOUR_MS } from '../time/civil.ts';

/** Larger studies are no longer those of one department. */
const MOST_PATIENTS = 5000;
/** From here on an interval holds the truth clearly less often than it says. Convention of this program. */
const LEAST_COVERAGE = 0.9;
/** Monte Carlo intervals: two-sided 95 %. */
const Z95 = 1.959963984540054;
/** Where the spread is hardly known, its upper 80 % limit is planned with. Source: Browne, Stat Med 1995;14:1933-40 (from memory). */
const SPREAD_CONF = 0.8;
/** Figures equal up to this are tied. Source: statistics 0. */
const TIE = 1e-9;

/** The patients of the library as a future study would meet them: outcome and monitored hours, the second site set to the effect. */
interface Population {
  readonly first: Group;
  readonly second: Group;
  /** The true effect in it: ratio of totals, or difference of means. */
  readonly truth: number;
  readonly capped: number;
}

/** Parallel arrays over patients. */
interface Group {
  readonly y: Float64Array;
  readonly hours: Float64Array;
}

/** Told now and then how far the work is. */
export type StudyProgress = (done: number, total: number) => void;

/**
 * Returns power and precision of a future comparison of two sites, by drawing whole patients of the library anew: for the sizes asked
 * about, and the least sizes for a wanted power and half width; beside it a closed formula.
 * Shape   units in any order: they are sorted before drawing. Each size has a stream of its own from the seed, so that one size gives
 *         the same figures whatever else is asked.
 * Units   outcomes as shares of time or dropouts per hour; n are patients, in the parallel design per group.
 * Missing what cannot be planned: `reason`, and no sizes.
 * Source  simulation of power by resampling pilot data: Davison & Hinkley 1997, 4.6 (from memory); intervals: statistics a and c;
 *         docs/methods/sample-size.md.
 */
export function nextStudy(units: readonly StudyUnit[], options: NextStudyOptions, onProgress: StudyProgress = () => undefined): NextStudy {
  const used = usedUnits(units, options);
  const first = librarySite(used.map((unit) => unit.first), options);
  const second = librarySite(used.map((unit) => unit.second), options);
  const none = { options, first, second, correlation: null, observed: null, sizes: [], forPower: null, forHalfWidth: null, most: MOST_PATIENTS, formula: null, cautions: [], capped: 0 };
  const reason = reasonAgainst(first, second, options);
  if (reason !== null) return { ...none, reason };
  const built = populationOf(used, options);
  if (typeof built === 'string') return { ...none, reason: built };
  const run = new Simulation(built, options, onProgress);
  for (const n of options.sizes) run.at(n);
  const forPower = options.wantedPower === null ? null : run.search(options.wantedPower, 'power');
  const forHalfWidth = options.wantedHalfWidth === null ? null : run.search(options.wantedHalfWidth, 'half width');
  // The sizes found stand among those asked about, so that their figures are seen.
  const shown = [...options.sizes, forPower?.n, forHalfWidth?.n].filter((n) => n !== null && n !== undefined);
  const sizes = [...new Set(shown)].sort((a, b) => a - b).map((n) => run.at(n));
  run.finish();
  const isPaired = options.design === 'paired';
  return {
    ...none,
    reason: null,
    correlation: isPaired ? correlation(built.first.y, built.second.y) : null,
    observed: observedEffect(first, second, options),
    sizes,
    forPower,
    forHalfWidth,
    formula: formulaSize(built, options),
    cautions: cautionsFor(first, second, built, sizes, options),
    capped: built.capped,
  };
}

/** The units that the design can use, sorted. */
function usedUnits(units: readonly StudyUnit[], options: NextStudyOptions): StudyUnit[] {
  const sorted = [...units].sort((a, b) => (a.unitId < b.unitId ? -1 : a.unitId > b.unitId ? 1 : 0));
  return options.design === 'paired' ? sorted.filter(({ first, second }) => first !== null && second !== null) : sorted.filter(({ first, second }) => first !== null || second !== null);
}

function outcomeOf({ lostMs, monitoredMs, dropouts }: UnitSite, { outcome }: Pick<NextStudyOptions, 'outcome'>): number {
  return outcome === 'share lost' ? lostMs / monitoredMs : (dropouts * HOUR_MS) / monitoredMs;
}

function librarySite(sites: readonly (UnitSite | null)[], options: NextStudyOptions): LibrarySite | null {
  const own = sites.filter((site) => site !== null && site.monitoredMs > 0);
  const present = own.filter((site) => site !== null);
  if (present.length === 0) return null;
  const y = Float64Array.from(present, (site) => outcomeOf(site, options));
  const monitoredMs = present.reduce((sum, site) => sum + site.monitoredMs, 0);
  const dropouts = present.reduce((sum, site) => sum + site.dropouts, 0);
  const rate = dropouts / monitoredMs;
  const pearson = present.reduce((sum, site) => sum + (site.dropouts - rate * site.monitoredMs) ** 2 / (rate * site.monitoredMs), 0);
  return {
    patients: present.length,
    withoutLoss: y.filter((value) => value === 0).length,
    monitoredMs,
    mean: meanOf(y),
    sd: present.length < 2 ? null : sdOf(y),
    pooled: present.reduce((sum, site) => sum + outcomeOf(site, options) * site.monitoredMs, 0) / monitoredMs,
    dispersion: dropouts === 0 || present.length < 2 ? null : pearson / (present.length - 1),
  };
}

function reasonAgainst(first: LibrarySite | null, second: LibrarySite | null, options: NextStudyOptions): NoStudyReason | null {
  const needsSecond = options.design === 'paired' || options.secondAs === 'second site';
  if (options.design === 'paired' && options.secondAs === 'first site') return 'paired needs both sites';
  if (first === null || first.patients < 2 || (needsSecond && (second === null || second.patients < 2))) return 'too few patients';
  if (first.mean === 0) return 'nothing lost at the first site';
  if (needsSecond && second !== null && second.mean === 0) return 'nothing lost at the second site';
  if (options.effect === 'ratio' ? options.effectSize === 1 : options.effectSize === 0) return 'no effect';
  return null;
}

/** The effect as the library has it. */
function observedEffect(first: LibrarySite | null, second: LibrarySite | null, { effect }: NextStudyOptions): number | null {
  if (first === null || second === null) return null;
  return effect === 'ratio' ? second.pooled / first.pooled : second.mean - first.mean;
}

/**
 * Sets the second site to the effect asked about: each patient's figure is multiplied by one factor. So patients without loss stay
 * without, and the spread between patients stays in proportion.
 */
function populationOf(units: readonly StudyUnit[], options: NextStudyOptions): Population | NoStudyReason {
  const groupOf = (pick: (unit: StudyUnit) => UnitSite | null): Group => {
    const sites = units.map(pick).filter((site) => site !== null);
    return { y: Float64Array.from(sites, (site) => outcomeOf(site, options)), hours: Float64Array.from(sites, (site) => site.monitoredMs / HOUR_MS) };
  };
  const first = groupOf((unit) => unit.first);
  const pattern = options.secondAs === 'first site' ? first : groupOf((unit) => unit.second);
  const level = (group: Group): number => (options.effect === 'ratio' ? pooledOf(group) : meanOf(group.y));
  const wanted = options.effect === 'ratio' ? options.effectSize * level(first) : level(first) + options.effectSize;
  // No ratio of nothing has an interval; a difference may end at no loss at all.
  if (options.effect === 'ratio' ? !(wanted > 0) : !(wanted >= 0)) return 'effect not possible';
  const factor = wanted / level(pattern);
  const most = options.outcome === 'share lost' ? 1 : Infinity;
  let capped = 0;
  const y = pattern.y.map((value) => {
    if (value * factor <= most) return value * factor;
    capped += 1;
    return most;
  });
  const second = { y, hours: pattern.hours };
  const spread = options.design === 'paired' ? sdOf(first.y.map((value, i) => (y[i] ?? NaN) - value)) : sdOf(first.y) + sdOf(y);
  if (!(spread > 0)) return 'all patients alike';
  return { first, second, truth: options.effect === 'ratio' ? level(second) / level(first) : level(second) - level(first), capped };
}

/** What one simulated study found. */
interface Found {
  /** On the scale of the interval: log ratio, or difference. NaN: no interval. */
  readonly estimate: number;
  readonly halfWidth: number;
  readonly rankZ: number;
}

/** Draws studies from a population; one size is worked out once. */
class Simulation {
  private readonly known = new Map<number, StudySize>();
  private readonly quantiles = new Map<number, number>();
  private readonly truth: number;
  private readonly rankLimit: number;
  private readonly ranks: SignedRanks | RankSums;
  private done = 0;
  private total: number;

  constructor(
    private readonly population: Population,
    private readonly options: NextStudyOptions,
    private readonly onProgress: StudyProgress,
  ) {
    this.truth = options.effect === 'ratio' ? Math.log(population.truth) : population.truth;
    const { first, second } = population;
    this.ranks = options.design === 'paired' ? new SignedRanks(second.y.map((value, i) => value - (first.y[i] ?? NaN))) : new RankSums(first.y, second.y);
    this.rankLimit = normalQuantile(0.5 + options.conf / 2);
    // Searches double what they look at: about so much is drawn for them. It is only told, nothing hangs on it.
    this.total = options.sizes.reduce((sum, n) => sum + n, 0) + (options.wantedPower === null ? 0 : SEARCH_DRAWS) + (options.wantedHalfWidth === null ? 0 : SEARCH_DRAWS);
  }

  /** Returns what a study of `n` would give. */
  at(n: number): StudySize {
    const before = this.known.get(n);
    if (before !== undefined) return before;
    const { draws, seed } = this.options;
    const { index } = mersenneTwister(seed);
    let found = 0;
    let foundByRanks = 0;
    let held = 0;
    let without = 0;
    let sum = 0;
    let squares = 0;
    const study = this.newStudy(n);
    for (let r = 0; r < draws; r += 1) {
      study.draw(index);
      const one = this.options.effect === 'ratio' ? study.ratio((df) => this.quantile(df)) : study.difference((df) => this.quantile(df));
      if (Math.abs(one.rankZ) > this.rankLimit) foundByRanks += 1;
      if (Number.isNaN(one.estimate)) {
        without += 1;
        continue;
      }
      if (Math.abs(one.estimate) > one.halfWidth) found += 1;
      if (Math.abs(one.estimate - this.truth) <= one.halfWidth) held += 1;
      sum += one.halfWidth;
      squares += one.halfWidth ** 2;
    }
    const k = draws - without;
    const mean = sum / k;
    const size: StudySize = {
      n,
      power: share(found, draws),
      rankPower: share(foundByRanks, draws),
      halfWidth: k === 0 ? null : this.widthOf({ value: mean, error: k < 2 ? 0 : Math.sqrt(Math.max(0, (squares - k * mean * mean) / (k - 1)) / k) }),
      coverage: k === 0 ? null : share(held, k),
      without,
    };
    this.known.set(n, size);
    this.done += n;
    this.total = Math.max(this.total, this.done);
    this.onProgress(this.done, this.total);
    return size;
  }

  /** Says that nothing more will be drawn. */
  finish(): void {
    this.onProgress(this.total, this.total);
  }

  private newStudy(n: number): PairedStudy | ParallelStudy {
    return this.ranks instanceof SignedRanks ? new PairedStudy(this.population, this.ranks, n) : new ParallelStudy(this.population, this.ranks, n);
  }

  /** For a ratio the factor between estimate and limit; its error by the delta method. */
  private widthOf(log: Simulated): Simulated {
    return this.options.effect === 'ratio' ? { value: Math.exp(log.value), error: Math.exp(log.value) * log.error } : log;
  }

  /** Intervals take whole degrees of freedom, rounded down: a little too wide where they are broken. */
  private quantile(df: number): number {
    const whole = Math.max(1, Math.floor(df));
    const before = this.quantiles.get(whole);
    if (before !== undefined) return before;
    const value = studentQuantile(0.5 + this.options.conf / 2, whole);
    this.quantiles.set(whole, value);
    return value;
  }

  /** Returns the least size that reaches what is wanted, and the sizes between which the error of the simulation leaves it. */
  search(wanted: number, what: 'power' | 'half width'): WantedSize {
    const reaches = (n: number, slack: number): boolean => {
      const { power, halfWidth } = this.at(n);
      if (what === 'power') return power.value + slack * power.error >= wanted;
      return halfWidth !== null && halfWidth.value - slack * halfWidth.error <= wanted;
    };
    return { n: leastReaching((n) => reaches(n, 0)), low: leastReaching((n) => reaches(n, Z95)), high: leastReaching((n) => reaches(n, -Z95)) };
  }
}

/** About what a search draws, in patients per replicate. */
const SEARCH_DRAWS = 1500;
const LEAST_PATIENTS = 4;
/** Large sizes are found to half a per cent: the error of the simulation is far larger. */
const SEARCH_STEP = 0.005;

/** Least size at which something holds, by doubling and halving; it is taken to hold from there on. */
function leastReaching(holds: (n: number) => boolean): number | null {
  let high = LEAST_PATIENTS;
  while (!holds(high)) {
    if (high === MOST_PATIENTS) return null;
    high = Math.min(MOST_PATIENTS, high * 2);
  }
  if (high === LEAST_PATIENTS) return high;
  let low = Math.max(LEAST_PATIENTS, Math.floor(high / 2));
  while (high - low > Math.max(1, high * SEARCH_STEP)) {
    const middle = Math.floor((low + high) / 2);
    if (holds(middle)) high = middle;
    else low = middle;
  }
  return high;
}

type Draw = (n: number) => number;
type Quantile = (df: number) => number;

/** Studies in which each patient wears both sites. */
class PairedStudy {
  private readonly drawn: Int32Array;
  private readonly d: Float64Array;

  constructor(
    private readonly population: Population,
    private readonly ranks: SignedRanks,
    private readonly n: number,
  ) {
    this.drawn = new Int32Array(n);
    this.d = new Float64Array(n);
  }

  draw(index: Draw): void {
    const { first, second } = this.population;
    for (let i = 0; i < this.n; i += 1) {
      const unit = index(first.y.length);
      this.drawn[i] = unit;
      this.d[i] = (second.y[unit] ?? NaN) - (first.y[unit] ?? NaN);
    }
  }

  difference(quantile: Quantile): Found {
    const { n, d } = this;
    const mean = meanOf(d);
    const sd = sdOf(d);
    const rankZ = this.ranks.z(this.drawn);
    if (!(sd > 0)) return { estimate: NaN, halfWidth: NaN, rankZ };
    return { estimate: mean, halfWidth: (quantile(n - 1) * sd) / Math.sqrt(n), rankZ };
  }

  /** Log of the ratio of totals; its error by the influence of each patient on both (statistics a, for two ratios of the same patients). */
  ratio(quantile: Quantile): Found {
    const { n, drawn } = this;
    const { first, second } = this.population;
    const a = totals(first, drawn);
    const b = totals(second, drawn);
    const rankZ = this.ranks.z(this.drawn);
    if (a.above === 0 || b.above === 0) return { estimate: NaN, halfWidth: NaN, rankZ };
    let squares = 0;
    for (const unit of drawn) squares += (influence(second, unit, b) - influence(first, unit, a)) ** 2;
    const se = Math.sqrt((n / (n - 1)) * squares);
    if (!(se > 0)) return { estimate: NaN, halfWidth: NaN, rankZ };
    return { estimate: Math.log(b.above / b.below / (a.above / a.below)), halfWidth: quantile(n - 1) * se, rankZ };
  }
}

/** Studies in which each patient wears one site. */
class ParallelStudy {
  private readonly a: Int32Array;
  private readonly b: Int32Array;

  constructor(
    private readonly population: Population,
    private readonly ranks: RankSums,
    private readonly n: number,
  ) {
    this.a = new Int32Array(n);
    this.b = new Int32Array(n);
  }

  draw(index: Draw): void {
    const { first, second } = this.population;
    for (let i = 0; i < this.n; i += 1) this.a[i] = index(first.y.length);
    for (let i = 0; i < this.n; i += 1) this.b[i] = index(second.y.length);
  }

  private values(): readonly [Float64Array, Float64Array] {
    const { first, second } = this.population;
    return [Float64Array.from(this.a, (unit) => first.y[unit] ?? NaN), Float64Array.from(this.b, (unit) => second.y[unit] ?? NaN)];
  }

  /** Interval after Welch. */
  difference(quantile: Quantile): Found {
    const [x, y] = this.values();
    const rankZ = this.ranks.z(this.a, this.b);
    const vx = sdOf(x) ** 2 / this.n;
    const vy = sdOf(y) ** 2 / this.n;
    if (!(vx + vy > 0)) return { estimate: NaN, halfWidth: NaN, rankZ };
    const df = (vx + vy) ** 2 / ((vx * vx + vy * vy) / (this.n - 1));
    return { estimate: meanOf(y) - meanOf(x), halfWidth: quantile(df) * Math.sqrt(vx + vy), rankZ };
  }

  ratio(quantile: Quantile): Found {
    const rankZ = this.ranks.z(this.a, this.b);
    const { first, second } = this.population;
    const ta = totals(first, this.a);
    const tb = totals(second, this.b);
    if (ta.above === 0 || tb.above === 0) return { estimate: NaN, halfWidth: NaN, rankZ };
    const squaresOf = (group: Group, drawn: Int32Array, total: Totals): number => drawn.reduce((sum, unit) => sum + influence(group, unit, total) ** 2, 0);
    const va = (this.n / (this.n - 1)) * squaresOf(first, this.a, ta);
    const vb = (this.n / (this.n - 1)) * squaresOf(second, this.b, tb);
    if (!(va + vb > 0)) return { estimate: NaN, halfWidth: NaN, rankZ };
    const df = (va + vb) ** 2 / ((va * va + vb * vb) / (this.n - 1));
    return { estimate: Math.log(tb.above / tb.below / (ta.above / ta.below)), halfWidth: quantile(df) * Math.sqrt(va + vb), rankZ };
  }
}

interface Totals {
  readonly above: number;
  readonly below: number;
}

function totals({ y, hours }: Group, drawn: Int32Array): Totals {
  let above = 0;
  let below = 0;
  for (const unit of drawn) {
    above += (y[unit] ?? NaN) * (hours[unit] ?? NaN);
    below += hours[unit] ?? NaN;
  }
  return { above, below };
}

/** What one patient adds to the log of a ratio of totals. */
function influence({ y, hours }: Group, unit: number, { above, below }: Totals): number {
  const t = hours[unit] ?? NaN;
  return ((y[unit] ?? NaN) * t) / above - t / below;
}

/** The closed formula that fits what is asked, from the same population. */
function formulaSize(population: Population, options: NextStudyOptions): FormulaSize {
  const { first, second, truth } = population;
  const { design, outcome, effect, conf, wantedPower, wantedHalfWidth } = options;
  const k = design === 'paired' ? first.y.length : Math.min(first.y.length, second.y.length);
  const upper = Math.sqrt((k - 1) / chiSquareQuantile(1 - SPREAD_CONF, k - 1));
  // One patient's standard deviation of the estimate, per group where there are two.
  const spread = effect === 'ratio' ? logRatioSpread(population, design) : differenceSpread(population, design);
  const shift = effect === 'ratio' ? Math.log(truth) : truth;
  const width = wantedHalfWidth === null ? null : effect === 'ratio' ? Math.log(wantedHalfWidth) : wantedHalfWidth;
  const dfOf = (n: number): number => (design === 'paired' ? n - 1 : 2 * (n - 1));
  const sizeWith = (sd: number): number | null => (wantedPower === null || !Number.isFinite(shift) ? null : leastSize((n) => tTestPower((shift * Math.sqrt(n)) / sd, dfOf(n), conf), wantedPower, 2));
  const nForHalfWidth = width === null || !(width > 0) ? null : leastSize((n) => -studentQuantile(0.5 + conf / 2, dfOf(n)) * (spread / Math.sqrt(n)), -width, 2);
  if (design === 'parallel' && outcome === 'dropouts per hour' && effect === 'ratio') {
    const sized = (inflate: number): number | null => {
      const variation = betweenVariation(first) * inflate;
      const n = wantedPower === null ? null : clusterRateSize({ first: pooledOf(first), second: pooledOf(second), timePerCluster: meanOf(first.hours), variation }, conf, wantedPower);
      return n === null ? null : Math.ceil(n);
    };
    return { method: 'Hayes and Bennett', n: sized(1), nIfSpreadUpper: sized(upper), nForHalfWidth };
  }
  const method = effect === 'ratio' ? 'delta method' : design === 'paired' ? 'paired t' : 'two-sample t';
  return { method, n: sizeWith(spread), nIfSpreadUpper: sizeWith(spread * upper), nForHalfWidth };
}

function differenceSpread({ first, second }: Population, design: NextStudyOptions['design']): number {
  return design === 'paired' ? sdOf(second.y.map((value, i) => value - (first.y[i] ?? NaN))) : Math.sqrt(sdOf(first.y) ** 2 + sdOf(second.y) ** 2);
}

function logRatioSpread({ first, second }: Population, design: NextStudyOptions['design']): number {
  const influences = (group: Group): Float64Array => {
    const all = totals(group, Int32Array.from(group.y.keys()));
    return group.y.map((_, i) => influence(group, i, all) * group.y.length);
  };
  const a = influences(first);
  const b = influences(second);
  return design === 'paired' ? sdOf(b.map((value, i) => value - (a[i] ?? NaN))) : Math.sqrt(sdOf(a) ** 2 + sdOf(b) ** 2);
}

/** Coefficient of variation of the patients' true rates: what their spread has beyond that of counts (method of moments; 0 where it has none). */
function betweenVariation(group: Group): number {
  const rate = meanOf(group.y);
  const ofCounts = rate * meanOf(group.hours.map((hours) => 1 / hours));
  return Math.sqrt(Math.max(0, sdOf(group.y) ** 2 - ofCounts)) / rate;
}

function cautionsFor(first: LibrarySite | null, second: LibrarySite | null, population: Population, sizes: readonly StudySize[], options: NextStudyOptions): StudyCaution[] {
  const sites = [first, options.secondAs === 'first site' ? null : second].filter((site) => site !== null);
  const least = Math.min(...sites.map(({ patients }) => patients));
  const isUncovered = sizes.some(({ coverage }) => coverage !== null && coverage.value + Z95 * coverage.error < LEAST_COVERAGE);
  return [
    ...(least < 10 ? (['fewer than 10 patients'] as const) : least < 20 ? (['fewer than 20 patients'] as const) : []),
    ...(sites.some(({ patients, withoutLoss }) => withoutLoss > patients / 2) ? (['most patients without loss'] as const) : []),
    ...(population.capped > 0 ? (['share capped'] as const) : []),
    ...(isUncovered ? (['interval too narrow'] as const) : []),
    ...(options.secondAs === 'first site' ? (['second site assumed'] as const) : options.design === 'parallel' ? (['site not assigned at random'] as const) : []),
  ];
}

function pooledOf({ y, hours }: Group): number {
  let above = 0;
  let below = 0;
  for (let i = 0; i < y.length; i += 1) {
    above += (y[i] ?? NaN) * (hours[i] ?? NaN);
    below += hours[i] ?? NaN;
  }
  return above / below;
}

function share(count: number, of: number): Simulated {
  const value = count / of;
  return { value, error: Math.sqrt((value * (1 - value)) / of) };
}

function meanOf(values: Float64Array): number {
  let sum = 0;
  for (const value of values) sum += value;
  return sum / values.length;
}

function sdOf(values: Float64Array): number {
  const mean = meanOf(values);
  let squares = 0;
  for (const value of values) squares += (value - mean) ** 2;
  // Equal values leave a rounding error of their mean, and no spread.
  const sd = Math.sqrt(squares / (values.length - 1));
  return sd <= TIE * Math.abs(mean) ? 0 : sd;
}

function correlation(x: Float64Array, y: Float64Array): number | null {
  const mx = meanOf(x);
  const my = meanOf(y);
  let above = 0;
  for (let i = 0; i < x.length; i += 1) above += ((x[i] ?? NaN) - mx) * ((y[i] ?? NaN) - my);
  const below = sdOf(x) * sdOf(y) * (x.length - 1);
  return below > 0 ? above / below : null;
}
