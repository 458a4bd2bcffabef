import { describe, expect, it } from 'vitest';
import { foldText, spellingsOf, wordsOf } from '../../../../core/terms/fold-text.ts';

describe('foldText', () => {
  it.each([
    ['SpO₂', 'spo2'],
    ['Sättigung', 'sattigung'],
    ['100 \u00b5g', '100 mcg'],
    ['100 \u03bcg', '100 mcg'],
    ['i.v.', 'iv'],
    ['i. v. bolus', 'iv bolus'],
    ["d/c'd", 'discontinued'],
    ['µg·kg⁻¹·min⁻¹', 'mcg.kg-1.min-1'],
    ['6 mg × 2', '6 mg  x  2'],
    ['0.05 → 0.1', '0.05 -> 0.1'],
    ['Großzehe', 'grosszehe'],
    ['37 ºC', '37 °c'],
  ])('folds %s', (text, folded) => {
    expect(foldText(text)).toBe(folded);
  });

  it('leaves the full stop of a number and of a sentence alone', () => {
    expect(foldText('ephedrine 0.5 mg. Turned prone.')).toBe('ephedrine 0.5 mg. turned prone.');
  });
});

it('splits into runs of letters and digits', () => {
  expect(wordsOf('cross-clamp off, 2nd')).toEqual(['cross', 'clamp', 'off', '2nd']);
});

it('spells an umlaut in both ways', () => {
  expect(spellingsOf('Rückenlage')).toEqual(['ruckenlage', 'rueckenlage']);
  expect(spellingsOf('décubitus')).toEqual(['decubitus']);
});
