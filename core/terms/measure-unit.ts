import dictionary from './dictionary.json' with { type: 'json' };
import { foldText } from './fold-text.ts';

/**
 * Returns the UCUM spelling of a measured value's unit (`%`, `/min`, `mm[Hg]`, `kPa`, `Cel`, `[degF]`, `L/min`; `1` for a
 * fraction), or null when the text names no such unit.
 * Source: handbook 8.4 and check values ucum-*; spellings met in the open data; the rest common practice without source.
 */
export function normalizeMeasureUnit(text: string): string | null {
  const folded = foldText(text).trim();
  return UNITS.get(folded.replace(/\s+/g, ' ')) ?? UNITS.get(folded.replace(/[_\s]+/g, ' ')) ?? UNITS.get(folded.replace(/\s+/g, '')) ?? null;
}

const UNITS: ReadonlyMap<string, string> = new Map(
  Object.entries(dictionary.measureUnits).flatMap(([unit, spellings]) => spellings.map((spelling) => [foldText(spelling), unit] as const)),
);
