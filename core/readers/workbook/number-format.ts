/** What the number in a cell is shown as. `elapsed`: hours may go beyond 24. */
export type NumberKind = 'number' | 'percent' | 'date' | 'time' | 'date and time' | 'elapsed';

/**
 * The kinds of the formats that a workbook may use without writing them down.
 * Source  ECMA-376 part 1, section 18.8.30 (numFmt): 9 and 10 percent, 14 to 17 dates, 18 to 21 and 45 to 47 times, 22 both;
 *         27 to 36 and 50 to 58 are dates and times of East Asian editions.
 */
function builtInKind(id: number): NumberKind {
  if (id === 9 || id === 10) return 'percent';
  if ((id >= 14 && id <= 17) || (id >= 27 && id <= 31) || id === 36 || (id >= 50 && id <= 54) || id === 57 || id === 58) return 'date';
  if ((id >= 18 && id <= 21) || (id >= 32 && id <= 35) || id === 45 || id === 47 || id === 55 || id === 56) return 'time';
  if (id === 22) return 'date and time';
  if (id === 46) return 'elapsed';
  return 'number';
}

/** Returns what a format makes of a number, by its own code or, where the workbook does not state one, its number. */
export function numberKind(id: number, code: string | undefined): NumberKind {
  if (code === undefined) return builtInKind(id);
  const positive = code
    .replace(/"[^"]*"|\\.|[_*]./g, '')
    .replace(/\[(?!(?:h+|m+|s+)\])[^\]]*\]/gi, '')
    .split(';')[0] ?? '';
  const letters = positive.replace(/general/gi, '').replace(/e[+-]/gi, '').toLowerCase();
  if (letters.includes('%')) return 'percent';
  if (/\[[hms]+\]/.test(letters)) return 'elapsed';
  const hasClock = /[hs]|am\/pm|a\/p/.test(letters);
  const hasDate = /[ydeg]|b{2}/.test(letters) || (letters.includes('m') && !hasClock);
  if (hasDate) return hasClock ? 'date and time' : 'date';
  return hasClock ? 'time' : 'number';
}
