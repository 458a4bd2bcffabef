import { countWords } from '../base/count-words.ts';
import { QUANTITY_FACTS } from '../model/quantity.ts';
import { findQuantity } from '../terms/find-quantity.ts';
import type { ColumnProfile } from './sample-table.ts';

export interface ShiftedHeadings {
  readonly headings: readonly string[];
  readonly taken: string;
  readonly because: string;
}

/** Numbers that can stand under a heading; null where it does not matter. A perfusion index may be an amplitude and proves nothing. */
function rangeOf(heading: string): readonly [number, number] | null {
  if (/^ecg\b/i.test(heading)) return [15, 300];
  const found = findQuantity(heading);
  if (found === null || found.quantity === 'other' || found.quantity === 'perfusion-index' || found.quantity === 'pulse-amplitude') return null;
  if (found.quantity === 'fio2') return [4, 100];
  return QUANTITY_FACTS[found.quantity].plausible ?? (found.quantity === 'resp-rate' ? [1, 80] : null);
}

/** +1 for a heading over numbers that can be what it names, -1 over text or impossible numbers, 0 where nothing can be said. */
function fit(heading: string, profile: ColumnProfile | undefined): number {
  if (heading === '' || profile === undefined) return 0;
  const range = rangeOf(heading);
  if (range === null) return 0;
  const filled = profile.nRows - profile.nEmpty;
  if (filled === 0) return 0;
  if (profile.nText > filled * 0.5) return -1;
  if (profile.nNumber < filled * 0.5) return 0;
  const sorted = profile.numbers.filter((value) => value !== 0).sort((a, b) => a - b);
  const median = sorted[Math.floor(sorted.length / 2)];
  if (median === undefined) return 0;
  return median >= range[0] && median <= range[1] ? 1 : -1;
}

/**
 * Returns headings moved to the columns they belong to, null when they stand right. Some exports name fewer columns than
 * they write: unnamed headings stand at the end while the unnamed columns stand in the middle. The place is the last one from
 * which moving the names to the right makes at least two more of them fit what stands below.
 */
export function shiftHeadings(headings: readonly string[], profiles: readonly ColumnProfile[]): ShiftedHeadings | null {
  let unnamed = 0;
  while (unnamed < headings.length && (headings[headings.length - 1 - unnamed] ?? '') === '') unnamed += 1;
  const named = headings.length - unnamed;
  const filledAtEnd = profiles.slice(named).filter((profile) => profile.nEmpty < profile.nRows).length;
  if (unnamed === 0 || named < 2 || filledAtEnd === 0) return null;
  const total = (shiftFrom: number): number => {
    let sum = 0;
    for (let i = 0; i < named; i += 1) sum += fit(headings[i] ?? '', profiles[i < shiftFrom ? i : i + unnamed]);
    return sum;
  };
  const asIs = total(named);
  let best = asIs;
  let at = -1;
  for (let from = named - 1; from >= 1; from -= 1) {
    const sum = total(from);
    if (sum > best) {
      best = sum;
      at = from;
    }
  }
  if (at === -1 || best < asIs + 2) return null;
  const moved = [...headings.slice(0, at), ...Array.from({ length: unnamed }, () => ''), ...headings.slice(at, named)];
  return {
    headings: moved,
    taken: `The headings from "${headings[at] ?? ''}" on stand ${countWords(unnamed, 'column', 'columns')} too far left; ${unnamed === 1 ? `column ${at + 1} has` : `columns ${at + 1} to ${at + unnamed} have`} no name.`,
    because: `${countWords(unnamed, 'column at the end has', 'columns at the end have')} no heading, and the names fit the numbers below only when they are moved`,
  };
}
