import { expect, test } from 'vitest';
import { hasToBeKept, keptWords, wordsKnown, wordsTyped, type KeptWords } from '../../../../../renderer/panels/meeting/kept-words.ts';

const asked = (words: KeptWords): KeptWords => ({ ...words, asked: words.typed });

/* Two windows had one story open. What the one had kept came into the other as another value, and the field there took its own old text for something typed, and kept that: the change was gone, and the two wrote over each other for ever. */
test('what another window has kept is shown, and not written over, where nobody has typed', () => {
  const words = wordsKnown(keptWords('ours'), 'theirs');
  expect(words).toMatchObject({ typed: 'theirs', known: 'theirs' });
  expect(hasToBeKept(words)).toBe(false);
});

test('what was typed meanwhile stays in the field, and replaces the other text only once somebody types on', () => {
  const words = wordsKnown(asked(wordsTyped(keptWords('before'), 'ours')), 'theirs');
  expect(words).toMatchObject({ typed: 'ours', known: 'theirs', isOvertaken: true });
  expect(hasToBeKept(words)).toBe(false);
  expect(hasToBeKept(wordsTyped(words, 'ours!'))).toBe(true);
});

test('typing goes on while the library keeps: the answer to it changes nothing that is typed', () => {
  const sent = asked(wordsTyped(keptWords('a'), 'ab'));
  expect(wordsKnown(sent, 'ab')).toMatchObject({ typed: 'ab', known: 'ab', isOvertaken: false });
  const further = wordsKnown(wordsTyped(sent, 'abc'), 'ab');
  expect([further.typed, hasToBeKept(further)]).toEqual(['abc', true]);
  // Taken back while it was on its way: what is typed is kept after it.
  const back = wordsKnown(wordsTyped(sent, 'a'), 'ab');
  expect([back.typed, hasToBeKept(back)]).toEqual(['a', true]);
});

test('the same text from two windows is no dispute', () => {
  const words = wordsKnown(wordsTyped(keptWords('a'), 'b'), 'b');
  expect([words.isOvertaken, hasToBeKept(words)]).toEqual([false, false]);
});
