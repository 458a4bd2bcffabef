import dictionary from './dictionary.json' with { type: 'json' };
import { foldText } from './fold-text.ts';

/**
 * Returns a dose or rate unit in UCUM spelling (`ug`, `mg`, `[iU]`, `ug/kg/min`, `mL/h`, `{ampoule}`), or null when the
 * text is not wholly a dose unit.
 * Source: UCUM spellings of handbook 8.4 (from memory there); other spellings: handbook 5 (mcg, ug, both µ, γ, u, IU) and
 * common practice without source.
 */
export function normalizeDoseUnit(text: string): string | null {
  const folded = foldText(text).trim();
  const known = JOINED.get(folded.replace(/[\s./·*^-]/g, ''));
  if (known !== undefined && /^[a-z]+$/.test(folded)) return known;
  const parts = folded
    .replace(/\bper\b/g, '/')
    .replace(/\s*\^?-\s*1(?![0-9])/g, '-1')
    .split(/\s*[/.*·]\s*|\s+(?=[a-z0-9]+-1)/)
    .map((part) => part.trim())
    .filter((part) => part !== '');
  const [first, ...rest] = parts;
  if (first === undefined) return null;
  const base = BASE.get(first);
  if (base === undefined) return null;
  const per: string[] = [];
  for (const part of rest) {
    const unit = PER.get(part.replace(/-1$/, ''));
    if (unit === undefined || per.includes(unit)) return null;
    per.push(unit);
  }
  per.sort((a, b) => PER_ORDER.indexOf(a) - PER_ORDER.indexOf(b));
  return [base, ...per].join('/');
}

const BASE: ReadonlyMap<string, string> = reversed(dictionary.doseUnits);
const PER: ReadonlyMap<string, string> = reversed(dictionary.perUnits);
const JOINED: ReadonlyMap<string, string> = reversed(dictionary.joinedUnits);
/** Weight or surface first, time last, as UCUM users write it (`ug/kg/min`). */
const PER_ORDER: readonly string[] = ['kg', 'm2', 's', 'min', 'h', 'd'];

/** Returns true for a UCUM rate: an amount or a volume per time. */
export function isRateUnit(unit: string): boolean {
  return /\/(s|min|h|d)$/.test(unit);
}

interface Scale {
  /** What is counted ("mass/kg/time"): only equal dimensions convert. */
  readonly dimension: string;
  readonly numerator: number;
  readonly denominator: number;
}

/**
 * Returns `amount` in unit `to`, or null when the two units do not measure the same (mass against units of activity,
 * a dose against a rate, per kilogram against not).
 * Units    both in UCUM spelling, as normalizeDoseUnit gives them.
 */
export function convertDose(amount: number, from: string, to: string): number | null {
  const a = scaleOf(from);
  const b = scaleOf(to);
  if (a === null || b === null || a.dimension !== b.dimension) return null;
  return (amount * a.numerator * b.denominator) / (a.denominator * b.numerator);
}

/** Integers only, so that 100 mg is exactly 100 000 ug. */
const MEASURES: Readonly<Record<string, readonly [dimension: string, size: number]>> = {
  ng: ['mass', 1],
  ug: ['mass', 1e3],
  mg: ['mass', 1e6],
  g: ['mass', 1e9],
  'm[iU]': ['activity', 1],
  '[iU]': ['activity', 1e3],
  mL: ['volume', 1],
  L: ['volume', 1e3],
  mmol: ['substance', 1],
  meq: ['charge', 1],
  '{ampoule}': ['ampoules', 1],
  '{tablet}': ['tablets', 1],
};
const TIMES: Readonly<Record<string, number>> = { s: 1, min: 60, h: 3600, d: 86400 };

function scaleOf(unit: string): Scale | null {
  const [base, ...per] = unit.split('/');
  const measure = MEASURES[base ?? ''];
  if (measure === undefined) return null;
  let dimension = measure[0];
  let denominator = 1;
  for (const part of per) {
    const time = TIMES[part];
    if (time !== undefined) denominator *= time;
    dimension += time === undefined ? `/${part}` : '/time';
  }
  return { dimension, numerator: measure[1], denominator };
}

function reversed(lists: Readonly<Record<string, readonly string[]>>): Map<string, string> {
  const map = new Map<string, string>();
  for (const [unit, spellings] of Object.entries(lists)) for (const spelling of spellings) map.set(foldText(spelling), unit);
  return map;
}
