import { MARK } from '../model/channel.ts';
import type { Guess } from '../model/import-report.ts';
import { QUANTITY_FACTS, type Quantity } from '../model/quantity.ts';
import { normalizeMeasureUnit } from '../terms/measure-unit.ts';

/** kPa to mmHg. Source: check-values unit-kpa (1 kPa = 7.50062 mmHg). */
export const MMHG_PER_KPA = 7.50062;
/** cmH2O to mmHg: 98.0665 Pa over 133.322387 Pa, the conventional values, from memory. */
const MMHG_PER_CMH2O = 0.735559;
/** A column that is stated to hold fractions may hold a little more than one. */
const MOST_AS_FRACTION = 1.2;

/** Units, beside the canonical one, that a quantity's numbers can be turned from. */
const CONVERTED: Readonly<Partial<Record<Quantity, readonly string[]>>> = { 'spo2': ['1'], 'fio2': ['1'], 'perfusion-index': ['%', '1'], 'etco2': ['kPa', 'cm[H2O]', '%'], 'temp': ['[degF]'], 'temp-core': ['[degF]'] };

/** Values that devices write for "no value": largest and smallest of 8, 16 and 24 bits, also divided by 10, 100 or 1000. */
const FILLERS: ReadonlySet<number> = new Set(
  [32767, -32768, -32767, 65535, 8388607, -8388608, -8388607, 2147483647, -2147483648].flatMap((value) => [value, value / 10, value / 100, value / 1000]),
);

/**
 * Returns whether a number is a filler for "no value" in a channel of this quantity.
 * Source: analysis-spec 3 (0 where it is no measurement, negative numbers, 127/255/32767-type fillers); open-data uw-varied-fio2 (-327.67).
 */
export function isFillerNumber(value: number, quantity: Quantity): boolean {
  if (FILLERS.has(value)) return true;
  if (quantity === 'other') return false;
  if (value < 0) return true;
  if (value === 0) return !QUANTITY_FACTS[quantity].zeroIsMeasurement;
  if (quantity === 'spo2') return value === 127 || value === 255;
  return false;
}

/** Returns a number with the noise of a conversion in doubles taken off (0.29 × 100 is 29). */
function clean(value: number): number {
  return Math.round(value * 1e8) / 1e8;
}

export interface SettledChannel {
  readonly quantity: Quantity;
  readonly unit: string;
  readonly guess: Guess | null;
  readonly note: string | null;
}

interface Range {
  readonly n: number;
  readonly low: number;
  readonly high: number;
}

function rangeOf(value: Float64Array): Range {
  let n = 0;
  let low = Infinity;
  let high = -Infinity;
  for (let i = 0; i < value.length; i += 1) {
    const v = value[i] as number; // i < length
    if (v !== v) continue; // only NaN differs from itself
    n += 1;
    if (v < low) low = v;
    if (v > high) high = v;
  }
  return { n, low, high };
}

function convert(value: Float64Array, mark: Uint8Array, change: (v: number) => number): void {
  for (let i = 0; i < value.length; i += 1) {
    const v = value[i] ?? NaN;
    if (Number.isNaN(v)) continue;
    value[i] = clean(change(v));
    mark[i] = (mark[i] ?? 0) | MARK.converted;
  }
}

/**
 * Brings one channel's numbers to the canonical unit of its quantity, in place, and says what was decided.
 * Decisions that the numbers force (a fraction, an amplitude in place of an index) are guesses; a stated unit is not.
 * `unitText` is the unit as the file or a person states it, '' when none is; one that a person states (`isSaid`) and that does not
 * fit the quantity is told in a note.
 */
export function settleChannel(heading: string, quantity: Quantity, unitText: string, value: Float64Array, mark: Uint8Array, isSaid = false): SettledChannel {
  const settled = settle(heading, quantity, unitText, value, mark, isSaid);
  return isSaid && settled.note === null ? { ...settled, note: misfitNote(heading, quantity, unitText) } : settled;
}

function misfitNote(heading: string, quantity: Quantity, unitText: string): string | null {
  const { name, unit } = QUANTITY_FACTS[quantity];
  const stated = normalizeMeasureUnit(unitText);
  const fits = quantity === 'other' || quantity === 'pulse-amplitude' || unitText === '' || (stated !== null && (stated === unit || (CONVERTED[quantity] ?? (unit === 'mm[Hg]' ? ['kPa', 'cm[H2O]'] : [])).includes(stated)));
  return fits ? null : `"${heading}": the mapping states the unit "${unitText.slice(0, 40)}", which does not fit ${name}; its numbers were taken as they are.`;
}

function settle(heading: string, quantity: Quantity, unitText: string, value: Float64Array, mark: Uint8Array, isSaid: boolean): SettledChannel {
  const facts = QUANTITY_FACTS[quantity];
  const stated = unitText === '' ? null : normalizeMeasureUnit(unitText);
  const range = rangeOf(value);
  const columnRule = (rule: { unit?: string; quantity?: Quantity }): { columns: Record<string, typeof rule> } => ({ columns: { [heading]: rule } });
  if (quantity === 'other') return { quantity, unit: unitText, guess: null, note: null };
  if (range.n === 0) return { quantity, unit: facts.unit, guess: null, note: null };
  if (quantity === 'spo2' || quantity === 'fio2') {
    if (stated === '1' && range.high > 1 && range.high <= MOST_AS_FRACTION) {
      convert(value, mark, (v) => v * 100);
      return { quantity, unit: facts.unit, guess: null, note: `"${heading}" was turned from fractions into per cent.` };
    }
    if (range.high <= 1 && stated !== '%') {
      convert(value, mark, (v) => v * 100);
      return {
        quantity,
        unit: facts.unit,
        guess: {
          field: `columns.${heading}`,
          taken: `"${heading}" holds fractions; they were multiplied by 100 to give per cent.`,
          because: 'no value in it is above 1',
          certainty: 'likely',
          alternatives: [{ label: 'The values are per cent already', rules: columnRule({ unit: '%' }) }],
        },
        note: null,
      };
    }
    return { quantity, unit: facts.unit, guess: null, note: null };
  }
  if (quantity === 'perfusion-index') {
    if (isSaid && stated === '%') return { quantity, unit: facts.unit, guess: null, note: null };
    if (isSaid && stated === '1') {
      convert(value, mark, (v) => v * 100);
      return { quantity, unit: facts.unit, guess: null, note: `"${heading}" was turned from fractions into per cent.` };
    }
    let outside = 0;
    let whole = 0;
    for (let i = 0; i < value.length; i += 1) {
      const v = value[i] as number; // i < length
      if (v !== v) continue; // only NaN differs from itself
      if (v > 40 || v < 0.01) outside += 1;
      if (v % 1 === 0) whole += 1;
    }
    // Mostly beyond what an index can be, or whole numbers throughout that reach 15: an amplitude on a scale of its own.
    if (outside > range.n * 0.5 || (range.high >= 15 && whole === range.n && range.n >= 20)) {
      return {
        quantity: 'pulse-amplitude',
        unit: '',
        guess: {
          field: `columns.${heading}`,
          taken: `"${heading}" is taken as a pulse amplitude without unit, not as a perfusion index.`,
          because: `${outside} of ${range.n} values ${outside === 1 ? 'is' : 'are'} outside 0.01–40 %${whole === range.n ? ' and all are whole numbers' : ''}`,
          certainty: 'likely',
          alternatives: [{ label: 'It is a perfusion index in per cent', rules: columnRule({ quantity: 'perfusion-index', unit: '%' }) }],
        },
        note: null,
      };
    }
    return { quantity, unit: facts.unit, guess: null, note: null };
  }
  if (facts.unit === 'mm[Hg]') {
    if (stated === 'kPa') {
      convert(value, mark, (v) => v * MMHG_PER_KPA);
      return { quantity, unit: facts.unit, guess: null, note: `"${heading}" was turned from kPa into mmHg (1 kPa = ${MMHG_PER_KPA} mmHg).` };
    }
    if (stated === 'cm[H2O]') {
      convert(value, mark, (v) => v * MMHG_PER_CMH2O);
      return { quantity, unit: facts.unit, guess: null, note: `"${heading}" was turned from cmH2O into mmHg (1 cmH2O = ${MMHG_PER_CMH2O} mmHg).` };
    }
    if (quantity === 'etco2' && stated === '%') {
      return { quantity: 'other', unit: '%', guess: null, note: `"${heading}" is in per cent of a pressure that is not known; it is kept as it is and not drawn as mmHg.` };
    }
    const looksLikeKpa = quantity === 'etco2' ? range.high <= 13 && range.high > 1 : range.high <= 40 && range.high > 4 && range.low < 25;
    if (stated === null && looksLikeKpa) {
      convert(value, mark, (v) => v * MMHG_PER_KPA);
      return {
        quantity,
        unit: facts.unit,
        guess: {
          field: `columns.${heading}`,
          taken: `"${heading}" is taken as kPa and was turned into mmHg.`,
          because: `its highest value is ${clean(range.high)}`,
          certainty: 'assumed',
          alternatives: [{ label: 'It is in mmHg', rules: columnRule({ unit: 'mmHg' }) }],
        },
        note: null,
      };
    }
    return { quantity, unit: facts.unit, guess: null, note: null };
  }
  if (quantity === 'temp' || quantity === 'temp-core') {
    if (stated === '[degF]') {
      convert(value, mark, (v) => ((v - 32) * 5) / 9);
      return { quantity, unit: facts.unit, guess: null, note: `"${heading}" was turned from °F into °C.` };
    }
    if (stated === null && range.low >= 75 && range.high <= 115) {
      convert(value, mark, (v) => ((v - 32) * 5) / 9);
      return {
        quantity,
        unit: facts.unit,
        guess: {
          field: `columns.${heading}`,
          taken: `"${heading}" is taken as °F and was turned into °C.`,
          because: `its values lie between ${clean(range.low)} and ${clean(range.high)}`,
          certainty: 'likely',
          alternatives: [{ label: 'It is in °C', rules: columnRule({ unit: '°C' }) }],
        },
        note: null,
      };
    }
    return { quantity, unit: facts.unit, guess: null, note: null };
  }
  if (quantity === 'heart-rate' || quantity === 'pulse-rate' || facts.unit === '/min') return settleEight(heading, quantity, value, mark);
  return { quantity, unit: facts.unit, guess: null, note: null };
}

/** Takes 255 in a rate for a filler when it comes again and again and no value comes near it. */
function settleEight(heading: string, quantity: Quantity, value: Float64Array, mark: Uint8Array): SettledChannel {
  let n = 0;
  let near = 0;
  for (let i = 0; i < value.length; i += 1) {
    const v = value[i] as number; // i < length
    if (v === 255) n += 1;
    else if (v > 215 && v < 300) near += 1;
  }
  const unit = QUANTITY_FACTS[quantity].unit;
  if (n < 2 || near > 0) return { quantity, unit, guess: null, note: null };
  for (let i = 0; i < value.length; i += 1) {
    if (value[i] !== 255) continue;
    value[i] = NaN;
    mark[i] = (mark[i] ?? 0) | MARK.sentinel;
  }
  return { quantity, unit, guess: null, note: `"${heading}": 255 stands ${n} times with no other value near it and was taken as "no value".` };
}
