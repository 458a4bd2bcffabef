import { expect, it } from 'vitest';
import { editDistance, letterBits, lettersApart } from '../../../../core/terms/spelling.ts';

// Worked by hand: one edit is an insertion, a deletion, a replacement or a swap of neighbours.
it.each([
  ['ephedrine', 'ephedrine', 0],
  ['ephidrine', 'ephedrine', 1],
  ['ephedrien', 'ephedrine', 1],
  ['dopamine', 'dopexamine', 2],
  ['phenylephedrine', 'phenylephrine', 2],
  ['ephedrine', 'epinephrine', 3],
  ['', 'ab', 2],
])('%s and %s are %i edits apart', (a, b, edits) => {
  expect(editDistance(a, b, 2)).toBe(edits);
  expect(editDistance(b, a, 2)).toBe(edits);
});

it('counts the letters that only one of two words holds', () => {
  expect(lettersApart(letterBits('abc'), letterBits('bcde'))).toBe(3);
  expect(lettersApart(letterBits('abc'), letterBits('cba'))).toBe(0);
});
