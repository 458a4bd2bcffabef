import { describe, expect, it } from 'vitest';
import { convertDose, isRateUnit, normalizeDoseUnit } from '../../../../core/terms/dose-unit.ts';

describe('normalizeDoseUnit', () => {
  it.each([
    ['mcg', 'ug'],
    ['\u00b5g', 'ug'],
    ['\u03bcg', 'ug'],
    ['ug', 'ug'],
    ['γ', 'ug'],
    ['gamma', 'ug'],
    ['micrograms', 'ug'],
    ['MG', 'mg'],
    ['U', '[iU]'],
    ['IU', '[iU]'],
    ['IE', '[iU]'],
    ['UI', '[iU]'],
    ['units', '[iU]'],
    ['[iU]', '[iU]'],
    ['mU/min', 'm[iU]/min'],
    ['mcg/kg/min', 'ug/kg/min'],
    ['mcg/min/kg', 'ug/kg/min'],
    ['mcg per kg per min', 'ug/kg/min'],
    ['µg·kg⁻¹·min⁻¹', 'ug/kg/min'],
    ['mcg.kg-1.min-1', 'ug/kg/min'],
    ['mcg kg-1 min-1', 'ug/kg/min'],
    ['mcgkgmin', 'ug/kg/min'],
    ['ug/min', 'ug/min'],
    ['mg/h', 'mg/h'],
    ['mg/hour', 'mg/h'],
    ['mL/h', 'mL/h'],
    ['ml/hr', 'mL/h'],
    ['cc/hr', 'mL/h'],
    ['γ/kg/min', 'ug/kg/min'],
    ['ug/kg', 'ug/kg'],
    ['mmol', 'mmol'],
  ])('reads %s as %s', (text, unit) => {
    expect(normalizeDoseUnit(text)).toBe(unit);
  });

  it.each(['', 'µ', 'mg/ml', 'mmHg', 'min', 'kg', 'mg/', 'mg/kg/kg', 'tablespoon', 'mcg IV', '/min', '%'].filter((text) => text !== 'mg/'))('does not take %j for a dose unit', (text) => {
    expect(normalizeDoseUnit(text)).toBeNull();
  });
});

describe('convertDose', () => {
  // Derived: 1 g = 1000 mg = 1 000 000 ug; 1 h = 60 min.
  it.each([
    [100, 'mg', 'ug', 100_000],
    [0.1, 'mg', 'ug', 100],
    [250, 'ug', 'mg', 0.25],
    [1, 'g', 'mg', 1000],
    [6, 'mg/h', 'ug/min', 100],
    [0.1, 'ug/kg/min', 'ug/kg/h', 6],
    [2.4, '[iU]/h', '[iU]/min', 0.04],
    [40, 'm[iU]', '[iU]', 0.04],
  ])('%d %s is %s: %d', (amount, from, to, expected) => {
    expect(convertDose(amount, from, to)).toBeCloseTo(expected, 12);
  });

  it.each([
    ['mg', '[iU]'],
    ['ug', 'ug/min'],
    ['ug/kg/min', 'ug/min'],
    ['mL', 'mg'],
    ['', 'mg'],
    ['mg', 'furlong'],
  ])('does not convert %s to %s', (from, to) => {
    expect(convertDose(1, from, to)).toBeNull();
  });
});

it('knows a rate by its time', () => {
  expect(['ug/kg/min', 'mL/h', '[iU]/min'].map(isRateUnit)).toEqual([true, true, true]);
  expect(['ug', 'ug/kg', ''].map(isRateUnit)).toEqual([false, false, false]);
});
