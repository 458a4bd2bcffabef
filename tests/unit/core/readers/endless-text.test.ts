/* Found by broken HL7 v2 files (seed 3698): every combination of a clause's words was tried, so 12 kB of it took a minute; at 200 kB the runner's own limit ends it. */
import { expect, it } from 'vitest';
import { readAdministration, readNote } from '../../../../core/readers/entry-text.ts';
import { PhraseBook } from '../../../../core/readers/phrase-book.ts';
import { parseEvents } from '../../../../core/terms/parse-event.ts';

it.each(['arms tucked ', '1 ', 'x2 ', '{"a":', 'phenylephrine 100 mcg '])('an endless note of "%s" is read to its end and kept whole', (piece) => {
  const text = piece.repeat(Math.ceil(200_000 / piece.length));
  const { event } = readNote(text, 0, 1, new PhraseBook(undefined));
  readAdministration({ drug: text, dose: '', doseUnit: '', rate: '', rateUnit: '', route: '', action: '', text: '', doseValue: 1, rateValue: NaN }, 0, null, 1, new PhraseBook(undefined));
  expect(event.text).toBe(text);
});

it('a clause as long as people write them is read whole', () => {
  const words = `${'and so on '.repeat(20)}arms tucked`;
  expect(parseEvents(words).map(({ term }) => term)).toEqual(['arms tucked']);
});
