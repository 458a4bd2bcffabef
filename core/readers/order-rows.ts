import { MARK } from '../model/channel.ts';
import { QUANTITY_FACTS, type Quantity } from '../model/quantity.ts';

/** One column of numbers beside a time axis. */
export interface ValueColumn {
  readonly quantity: Quantity;
  value: Float64Array;
  mark: Uint8Array;
}

export interface OrderedRows {
  readonly tMs: Float64Array;
  readonly line: Uint32Array;
  /** Equal rows dropped. */
  readonly nDuplicates: number;
  /** Instants at which two different values stood, per column counted once. */
  readonly nConflicts: number;
  readonly firstConflictLine: number | null;
  readonly wasUnsorted: boolean;
}

function isRising(tMs: Float64Array): boolean {
  for (let i = 1; i < tMs.length; i += 1) if (!((tMs[i] ?? 0) > (tMs[i - 1] ?? 0))) return false;
  return true;
}

function isPlausible(value: number, quantity: Quantity): boolean {
  if (Number.isNaN(value)) return false;
  const range = QUANTITY_FACTS[quantity].plausible;
  return range === null || (value >= range[0] && value <= range[1]);
}

function isSame(a: number, b: number): boolean {
  return a === b || (Number.isNaN(a) && Number.isNaN(b));
}

/**
 * Sorts rows by time (rows of one instant keep the order of the file) and leaves one row per instant: equal rows are
 * duplicates; of two values the first plausible one is kept and the conflict counted; a number outweighs an empty cell without conflict.
 * Shape   the columns' arrays are replaced by new ones where anything changes; `tMs` and `line` are not modified.
 * Source  analysis-spec 2.
 */
export function orderRows(tMs: Float64Array, line: Uint32Array, columns: readonly ValueColumn[]): OrderedRows {
  if (isRising(tMs)) return { tMs, line, nDuplicates: 0, nConflicts: 0, firstConflictLine: null, wasUnsorted: false };
  const n = tMs.length;
  const order = new Uint32Array(n);
  let wasUnsorted = false;
  for (let i = 0; i < n; i += 1) {
    order[i] = i;
    if (i > 0 && (tMs[i] ?? 0) < (tMs[i - 1] ?? 0)) wasUnsorted = true;
  }
  if (wasUnsorted) order.sort((a, b) => (tMs[a] ?? 0) - (tMs[b] ?? 0) || a - b);
  const groupStart: number[] = [];
  for (let i = 0; i < n; i += 1) {
    if (i === 0 || tMs[order[i] ?? 0] !== tMs[order[i - 1] ?? 0]) groupStart.push(i);
  }
  const m = groupStart.length;
  const outT = new Float64Array(m);
  const outLine = new Uint32Array(m);
  let nDuplicates = 0;
  let nConflicts = 0;
  let firstConflictLine: number | null = null;
  for (let g = 0; g < m; g += 1) {
    const from = groupStart[g] ?? 0;
    const first = order[from] ?? 0;
    outT[g] = tMs[first] ?? 0;
    outLine[g] = line[first] ?? 0;
    const to = groupStart[g + 1] ?? n;
    for (let k = from + 1; k < to; k += 1) {
      const row = order[k] ?? 0;
      let isEqual = false;
      for (let before = from; before < k && !isEqual; before += 1) {
        const other = order[before] ?? 0;
        isEqual = columns.every((column) => isSame(column.value[row] ?? NaN, column.value[other] ?? NaN));
      }
      if (isEqual) nDuplicates += 1;
    }
  }
  for (const column of columns) {
    const value = new Float64Array(m);
    const mark = new Uint8Array(m);
    for (let g = 0; g < m; g += 1) {
      const from = groupStart[g] ?? 0;
      const to = groupStart[g + 1] ?? n;
      let chosen = order[from] ?? 0;
      let isChosenPlausible = isPlausible(column.value[chosen] ?? NaN, column.quantity);
      let hasConflict = false;
      for (let k = from + 1; k < to; k += 1) {
        const row = order[k] ?? 0;
        const v = column.value[row] ?? NaN;
        const current = column.value[chosen] ?? NaN;
        if (Number.isNaN(v)) {
          // A filler says more than an empty cell: it stays as the reason when no row has a number.
          if (Number.isNaN(current) && column.mark[chosen] === MARK.empty && column.mark[row] !== MARK.empty) chosen = row;
          continue;
        }
        if (!Number.isNaN(current) && v !== current) hasConflict = true;
        if (!isChosenPlausible && (Number.isNaN(current) || isPlausible(v, column.quantity))) {
          chosen = row;
          isChosenPlausible = isPlausible(v, column.quantity);
        }
      }
      if (hasConflict) {
        nConflicts += 1;
        const at = line[order[from] ?? 0] ?? 0;
        if (firstConflictLine === null || at < firstConflictLine) firstConflictLine = at;
      }
      value[g] = column.value[chosen] ?? NaN;
      mark[g] = column.mark[chosen] ?? 0;
    }
    column.value = value;
    column.mark = mark;
  }
  return { tMs: outT, line: outLine, nDuplicates, nConflicts, firstConflictLine, wasUnsorted };
}
