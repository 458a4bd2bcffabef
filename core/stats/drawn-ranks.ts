/** Values equal up to this are tied. Source: statistics 0. */
const TIE = 1e-9;

/** Values in ascending order, equal ones together: ranks of any sample of them are had by counting, without sorting it. */
interface TieGroups {
  /** Of each value its group, in the order of the values. */
  readonly groupOf: Int32Array;
  readonly groups: number;
}

function tieGroups(values: Float64Array): TieGroups {
  const order = Array.from(values.keys()).sort((i, j) => (values[i] ?? NaN) - (values[j] ?? NaN));
  const groupOf = new Int32Array(values.length);
  let groups = 0;
  let start = NaN;
  for (const i of order) {
    const value = values[i] ?? NaN;
    if (!(value - start <= TIE)) {
      groups += 1;
      start = value;
    }
    groupOf[i] = groups - 1;
  }
  return { groupOf, groups };
}

/** Signed ranks of samples drawn from given differences, as often as wanted. */
export class SignedRanks {
  private readonly sizes: TieGroups;
  private readonly above: Int32Array;
  private readonly all: Int32Array;
  private readonly hasZero: boolean;

  constructor(private readonly d: Float64Array) {
    this.sizes = tieGroups(d.map((value) => Math.abs(value)));
    this.above = new Int32Array(this.sizes.groups);
    this.all = new Int32Array(this.sizes.groups);
    this.hasZero = d.some((value) => Math.abs(value) <= TIE);
  }

  /**
   * Returns z of the signed ranks, zeros ranked and then left out (Pratt 1959), ties by midranks, without continuity correction; 0
   * where all are zero. Source: statistics c.
   */
  z(drawn: Int32Array): number {
    const { above, all, d } = this;
    const { groupOf, groups } = this.sizes;
    above.fill(0);
    all.fill(0);
    for (const unit of drawn) {
      const group = groupOf[unit] ?? 0;
      all[group] = (all[group] ?? 0) + 1;
      if ((d[unit] ?? NaN) > 0) above[group] = (above[group] ?? 0) + 1;
    }
    let before = 0;
    let sumAbove = 0;
    let sum = 0;
    let squares = 0;
    for (let group = 0; group < groups; group += 1) {
      const count = all[group] ?? 0;
      const rank = before + (count + 1) / 2;
      before += count;
      // Zeros are the first group where there are any.
      if (group === 0 && this.hasZero) continue;
      sumAbove += rank * (above[group] ?? 0);
      sum += rank * count;
      squares += rank * rank * count;
    }
    return squares === 0 ? 0 : (sumAbove - sum / 2) / Math.sqrt(squares / 4);
  }
}

/** Rank sums of two samples drawn from given values, as often as wanted. */
export class RankSums {
  private readonly values: TieGroups;
  private readonly x: Int32Array;
  private readonly y: Int32Array;

  constructor(
    private readonly first: Float64Array,
    second: Float64Array,
  ) {
    this.values = tieGroups(Float64Array.from([...first, ...second]));
    this.x = new Int32Array(this.values.groups);
    this.y = new Int32Array(this.values.groups);
  }

  /** Returns z of the rank sum with the variance that ties leave, without continuity correction; 0 where all are alike. Source: statistics c. */
  z(a: Int32Array, b: Int32Array): number {
    const { x, y } = this;
    const { groupOf, groups } = this.values;
    x.fill(0);
    y.fill(0);
    for (const unit of a) {
      const group = groupOf[unit] ?? 0;
      x[group] = (x[group] ?? 0) + 1;
    }
    for (const unit of b) {
      const group = groupOf[this.first.length + unit] ?? 0;
      y[group] = (y[group] ?? 0) + 1;
    }
    const n = a.length + b.length;
    let before = 0;
    let rankSum = 0;
    let ties = 0;
    for (let group = 0; group < groups; group += 1) {
      const count = (x[group] ?? 0) + (y[group] ?? 0);
      rankSum += (before + (count + 1) / 2) * (x[group] ?? 0);
      before += count;
      ties += count ** 3 - count;
    }
    const variance = ((a.length * b.length) / 12) * (n + 1 - ties / (n * (n - 1)));
    return variance > 0 ? (rankSum - (a.length * (n + 1)) / 2) / Math.sqrt(variance) : 0;
  }
}
