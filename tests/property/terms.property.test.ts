import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { convertDose, normalizeDoseUnit } from '../../core/terms/dose-unit.ts';
import { findDrug } from '../../core/terms/find-drug.ts';
import { findQuantity } from '../../core/terms/find-quantity.ts';
import { findSite } from '../../core/terms/find-site.ts';
import { parseDose } from '../../core/terms/parse-dose.ts';
import { parseEvents } from '../../core/terms/parse-event.ts';
import phrases from '../reference/terms/phrases.json' with { type: 'json' };

/** Texts like those of records: phrases of the table, cut up, joined and dirtied. */
const PIECES = phrases.flatMap(({ text }) => text.split(' '));
const text = fc.oneof(
  fc.string({ unit: 'binary' }),
  fc.array(fc.oneof(fc.constantFrom(...PIECES), fc.constantFrom('+', 'x2', '->', '(', ')', ',', '100', '0,1', 'mcg', '/', 'x', '%', '1:1000')), { maxLength: 12 }).map((parts) => parts.join(' ')),
);

describe('any text at all', () => {
  it('is read without an error, and amounts are finite, units known, parts whole', () => {
    fc.assert(
      fc.property(text, (any) => {
        const dose = parseDose(any);
        expect(dose.amount === null || Number.isFinite(dose.amount)).toBe(true);
        expect(dose.unit === '' || normalizeDoseUnit(dose.unit) === dose.unit).toBe(true);
        expect(Number.isInteger(dose.parts) && dose.parts >= 1).toBe(true);
        if (dose.drug !== null) expect(dose.ambiguous).toEqual([]);
        if (!dose.isGiven) expect(dose.drug).toBeNull();
        if (dose.amount !== null && dose.unit === '' && dose.isGiven && dose.drug !== null) expect(dose.flags).toContain('no unit stated');
        for (const event of parseEvents(any)) expect(event.term).not.toBe('');
        findQuantity(any);
        findSite(any);
        findDrug(any);
      }),
      { numRuns: 3000 },
    );
  });

  it('reads the same in upper and lower case (unless folding changes the letters)', () => {
    fc.assert(
      fc.property(fc.array(fc.constantFrom(...PIECES.filter((piece) => /^[\x20-\x7e]+$/.test(piece))), { maxLength: 8 }).map((parts) => parts.join(' ')), (any) => {
        expect(parseDose(any.toUpperCase())).toEqual(parseDose(any.toLowerCase()));
        expect(parseEvents(any.toUpperCase())).toEqual(parseEvents(any.toLowerCase()));
      }),
      { numRuns: 500 },
    );
  });
});

describe('dose of a recognised drug', () => {
  const drug = fc.constantFrom('phenylephrine', 'ephedrine', 'norepinephrine', 'adrenaline', 'metaraminol', 'vasopressin', 'propofol');
  const unit = fc.constantFrom(['mcg', 'ug'], ['\u00b5g', 'ug'], ['mg', 'mg'], ['units', '[iU]'], ['g', 'g']);
  const amount = fc.integer({ min: 1, max: 99_999 }).map((n) => n / 100);

  it('is the amount and unit written, with a point or a comma, before or after the name', () => {
    fc.assert(
      fc.property(drug, amount, unit, fc.boolean(), fc.boolean(), (name, value, [written, ucum], comma, first) => {
        const figure = comma ? String(value).replace('.', ',') : String(value);
        // `1,234` may be a thousand; the table of phrases covers it.
        fc.pre(!/^[1-9]\d{0,2},\d{3}$/.test(figure));
        const read = parseDose(first ? `${figure} ${written} ${name}` : `${name} ${figure}${written} IV`);
        expect([read.amount, read.unit, read.form, read.drug === null]).toEqual([value, ucum, 'bolus', false]);
      }),
    );
  });

  it('converts there and back', () => {
    fc.assert(
      fc.property(amount, fc.constantFrom(['ug', 'mg'], ['mg', 'g'], ['ug/min', 'mg/h'], ['[iU]/h', 'm[iU]/min'], ['mL/h', 'L/d']), (value, [a, b]) => {
        const back = convertDose(convertDose(value, String(a), String(b)) ?? NaN, String(b), String(a)) ?? NaN;
        // Two multiplications and two divisions: a few units in the last place.
        expect(Math.abs(back - value)).toBeLessThanOrEqual(value * 1e-14);
      }),
    );
  });
});
