import { describe, expect, it } from 'vitest';
import { byteText, countText, doseText, numberText, plainNumberText, saturationText, shareText, unitText } from '../../../../renderer/format/number-text.ts';

/* Expected texts are worked by hand from the rules in the doc comments. Unit codes: UCUM (handbook 8.4). */
describe('numberText', () => {
  it('groups thousands and keeps the asked decimals', () => {
    expect([numberText(0), numberText(999), numberText(1000), numberText(1234567.891, 2)]).toEqual(['0', '999', '1,000', '1,234,567.89']);
  });
  it('writes a true minus, and none for what rounds to nought', () => {
    expect([numberText(-5), numberText(-0.04, 1)]).toEqual(['\u22125', '0.0']);
  });
  it('never writes NaN or null as a number', () => {
    expect([numberText(null), numberText(Number.NaN), numberText(Number.POSITIVE_INFINITY)]).toEqual(['–', '–', '–']);
  });
});

describe('plainNumberText', () => {
  it('drops noughts after the point but not before it', () => {
    expect([plainNumberText(100), plainNumberText(0.25), plainNumberText(12.5, 1), plainNumberText(1000)]).toEqual(['100', '0.25', '12.5', '1,000']);
  });
});

describe('shareText', () => {
  it('gives one decimal, two below one per cent', () => {
    expect([shareText(0.0918), shareText(0.00468), shareText(0), shareText(1)]).toEqual(['9.2 %', '0.47 %', '0.0 %', '100.0 %']);
  });
  it('never shows a share that is not nought as nought', () => {
    expect(shareText(0.00001)).toBe('under 0.01 %');
  });
  it('says nothing where nothing was monitored', () => {
    expect(shareText(null)).toBe('–');
  });
});

describe('doses, units and counts', () => {
  it('writes UCUM as a clinician does', () => {
    expect([unitText('ug/kg/min'), unitText('[iU]'), unitText('mm[Hg]'), unitText('Cel'), unitText('mL/h')]).toEqual(['µg/kg/min', 'units', 'mmHg', '°C', 'mL/h']);
  });
  it('says when dose or unit are not stated', () => {
    expect([doseText(100, 'ug'), doseText(0.5, '[iU]'), doseText(null, 'ug'), doseText(5, ''), doseText(1, '[iU]'), doseText(1, '[iU]/h')]).toEqual(['100 µg', '0.5 units', 'dose not stated', '5 (unit not stated)', '1 unit', '1 units/h']);
  });
  it('keeps a decimal of a saturation only where the record has one', () => {
    expect([saturationText(97), saturationText(97.5), saturationText(null)]).toEqual(['97 %', '97.5 %', '–']);
  });
  it('counts with the right noun', () => {
    expect([countText(0, 'case', 'cases'), countText(1, 'case', 'cases'), countText(1200, 'case', 'cases')]).toEqual(['no cases', '1 case', '1,200 cases']);
  });
  it('gives bytes in thousands', () => {
    expect([byteText(812), byteText(3200), byteText(812_345), byteText(3_200_000), byteText(200e6), byteText(2e9)]).toEqual(['812 bytes', '3.2 kB', '812 kB', '3.2 MB', '200 MB', '2.0 GB']);
  });
});
