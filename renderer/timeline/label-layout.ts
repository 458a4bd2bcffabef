/** Something that wants to stand at `wantedPx` (its middle) and is `sizePx` long. */
export interface PlacedLabel {
  readonly wantedPx: number;
  readonly sizePx: number;
}

/**
 * Returns the middle of each label so that none overlap, each as near to its wish as its group allows, all within [0, lengthPx] where they fit.
 * Shape    one number per label, in the order given. More labels than fit overlap evenly rather than leave the space.
 * Missing  a wish of NaN (nothing to stand beside) is put at the end of the space.
 */
export function spreadLabels(labels: readonly PlacedLabel[], lengthPx: number): number[] {
  const order = labels
    .map((label, index) => ({ index, sizePx: label.sizePx, wanted: Number.isFinite(label.wantedPx) ? label.wantedPx : lengthPx }))
    .sort((a, b) => a.wanted - b.wanted || a.index - b.index);
  // Clusters of touching labels move as one: each stands where its members' wishes average out.
  const clusters: { members: number[]; size: number; center: number }[] = [];
  const half = (size: number): number => size / 2;
  const clamp = (center: number, size: number): number => Math.max(half(size), Math.min(lengthPx - half(size), center));
  for (let i = 0; i < order.length; i++) {
    const item = order[i];
    if (item === undefined) continue;
    let cluster = { members: [i], size: item.sizePx, center: clamp(item.wanted, item.sizePx) };
    for (let last = clusters[clusters.length - 1]; last !== undefined; last = clusters[clusters.length - 1]) {
      if (last.center + half(last.size) <= cluster.center - half(cluster.size)) break;
      clusters.pop();
      const members = [...last.members, ...cluster.members];
      const size = last.size + cluster.size;
      let offset = 0;
      let sum = 0;
      for (const member of members) {
        const placed = order[member];
        if (placed === undefined) continue;
        sum += placed.wanted - (offset + placed.sizePx / 2);
        offset += placed.sizePx;
      }
      cluster = { members, size, center: clamp(sum / members.length + size / 2, size) };
    }
    clusters.push(cluster);
  }
  const middles = new Array<number>(labels.length).fill(0);
  for (const cluster of clusters) {
    const room = cluster.size <= lengthPx ? 1 : lengthPx / cluster.size;
    let edge = cluster.size <= lengthPx ? cluster.center - half(cluster.size) : 0;
    for (const member of cluster.members) {
      const placed = order[member];
      if (placed === undefined) continue;
      middles[placed.index] = edge + (placed.sizePx * room) / 2;
      edge += placed.sizePx * room;
    }
  }
  return middles;
}

/** Returns the measured width of a text in px. Kept by the caller, so each text is measured once. */
export type MeasureText = (text: string) => number;

/** Returns a measurer that asks `measure` once for each text. */
export function rememberWidths(measure: MeasureText): MeasureText {
  const widths = new Map<string, number>();
  return (text) => {
    const known = widths.get(text);
    if (known !== undefined) return known;
    const width = measure(text);
    widths.set(text, width);
    return width;
  };
}

/** A row of labels along the time axis: each takes its room only where the row is free. */
export class LabelRow {
  private endPx = -Infinity;

  /** Returns whether nothing stands at `px` or right of it. */
  isFree(px: number): boolean {
    return px >= this.endPx;
  }

  /** Returns whether [leftPx, rightPx] is free in this row, and takes it when it is. Calls come in order of leftPx. */
  take(leftPx: number, rightPx: number): boolean {
    if (leftPx < this.endPx) return false;
    this.endPx = rightPx;
    return true;
  }
}
