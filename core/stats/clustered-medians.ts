/** The values of clusters, put in order once, so that the median of a draw needs no sorting. */
export interface ClusteredValues {
  readonly clusters: number;
  /** Ascending. */
  readonly values: Float64Array;
  /** The cluster of each value. */
  readonly cluster: Uint32Array;
}

/** Returns the values of clusters in order. Shape: one list per cluster, empty ones too. */
export function clusteredValues(lists: readonly (readonly number[])[]): ClusteredValues {
  const tagged = lists.flatMap((list, cluster) => list.map((value) => ({ value, cluster }))).sort((a, b) => a.value - b.value);
  return { clusters: lists.length, values: Float64Array.from(tagged, ({ value }) => value), cluster: Uint32Array.from(tagged, ({ cluster }) => cluster) };
}

/**
 * Returns the median (type 7) of all values of as many clusters as there are, drawn with replacement, whole.
 * Shape   `index` draws one place below its argument; it is called once per cluster.
 * Missing no cluster, or a draw without a value: null.
 * Source  Davison & Hinkley 1997, 3.8.
 */
export function drawnMedian({ clusters, values, cluster }: ClusteredValues, index: (n: number) => number): number | null {
  const times = new Uint32Array(clusters);
  for (let i = 0; i < clusters; i++) {
    const drawn = index(clusters);
    times[drawn] = (times[drawn] ?? 0) + 1;
  }
  let n = 0;
  for (const own of cluster) n += times[own] ?? 0;
  if (n === 0) return null;
  const [lowPlace, highPlace] = [Math.floor((n - 1) / 2), Math.floor(n / 2)];
  let seen = 0;
  let low: number | null = null;
  for (let i = 0; i < values.length; i++) {
    seen += times[cluster[i] ?? 0] ?? 0;
    const value = values[i] ?? NaN;
    if (low === null && seen > lowPlace) low = value;
    if (low !== null && seen > highPlace) return low + (value - low) / 2;
  }
  return low;
}
