import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { isAsked, type ReleaseKind } from '../../../../core/model/release.ts';
import { releaseTokens } from '../../../../core/identity/release-tokens.ts';

function tokensOf(text: string): [ReleaseKind, string][] {
  return releaseTokens(text).map(({ kind, start, end }) => [kind, text.slice(start, end)]);
}
const asked = (text: string): string[] => tokensOf(text).filter(([kind]) => isAsked(kind)).map(([kind, found]) => `${kind}: ${found}`);

describe('what is asked about', () => {
  /* Categories after Safe Harbor, 45 CFR 164.514(b)(2)(i)(A) to (R); how they are written: common practice, no source. */
  test.each<[string, string, readonly string[]]>([
    ['names behind titles, whatever the word means', 'Dr Long and Mrs K were told.', ['name: Dr Long', 'name: Mrs K']],
    ['names behind initials', 'J. Baker moved it.', ['name: J. Baker']],
    ['frequent names at the head of a sentence', 'Katharina moved the probe. Smith helped.', ['name: Katharina', 'name: Smith']],
    ['words with a capital inside a sentence', 'The probe was moved by Quillfeather and by Baker.', ['name: Quillfeather', 'name: Baker']],
    ['unknown words', 'quillfeather moved it', ['unknown word: quillfeather']],
    ['whole dates', 'on 3 March 2031, 2031-03-04 and 04.03.31', ['date: 3 March 2031', 'date: 2031-03-04', 'date: 04.03.31']],
    ['months, quarters and days', 'In March 2031, in Q2 2031, on Tuesday, in January.', ['date: March 2031', 'date: Q2 2031', 'date: Tuesday', 'date: January']],
    ['clock times', '14:32, 14:32:10, 2 pm, 14h30, at 1430 and 14.30 Uhr', ['clock time: 14:32', 'clock time: 14:32:10', 'clock time: 2 pm', 'clock time: 14h30', 'clock time: 1430', 'clock time: 14.30 Uhr']],
    ['numbers and codes', 'K01, 48213, MRN 4821337, a.b@c.org and 198.51.100.7', ['identifier: K01', 'identifier: 48213', 'name: MRN', 'identifier: 4821337', 'identifier: a.b@c.org', 'identifier: 198.51.100.7']],
    ['telephone numbers', 'call +44 20 7946 0958', ['identifier: +44 20 7946 0958']],
    ['rooms', 'in theatre 4, OR 12 and on ward B7', ['place: theatre 4', 'place: OR 12', 'place: ward B7']],
    ['high ages', 'aged 93, a 94-year-old', ['age: 93', 'age: 94-year-old']],
  ])('%s', (_, text, expected) => {
    expect(asked(text)).toEqual(expected);
  });

  test.each([
    'The signal went after the arms were tucked; ephedrine 6 mg at +0:50:00, 21 min 55 s – 22 min 5 s, mid 22 min.',
    'Case A: SpO2 98 % → 88 %, every 5 s, 12,345 s, 0.01 %, 2031, seed 20260101.',
    'Lacuna 0.1.0 · inputs SHA-256 3fa9c1d2e4b5, 0c1d2e4b5aaa and 3 more',
    'a 64-year-old, phenylephrine 100 µg, 2 or 3 losses, −0:05:00',
    'Wilson interval, Kaplan–Meier estimate, p-chart.',
  ])('nothing in: %s', (text) => {
    expect(asked(text)).toEqual([]);
  });
});

test('a shape that ends inside a word takes the whole of it', () => {
  expect(tokensOf('Dr Long SpO2 at 14:32Uhr').map(([, found]) => found)).toEqual(['Dr Long SpO2', 'at', '14:32Uhr']);
});

test('every letter and figure lies in exactly one token, in order', () => {
  const piece = fc.oneof(fc.constantFrom('Dr Long', '14:32', '3 March 2031', '+0:05:00', 'K01', 'the probe', '2.5 µg', 'theatre 4', '–', ' ', '\n', 'Ж', 'naïve', '…'), fc.string({ unit: 'binary', maxLength: 12 }));
  fc.assert(fc.property(fc.array(piece, { maxLength: 12 }), (pieces) => {
    const text = pieces.join(' ');
    const tokens = releaseTokens(text);
    let at = 0;
    for (const { start, end } of tokens) {
      expect(start).toBeGreaterThanOrEqual(at);
      expect(text.slice(at, start)).not.toMatch(/[\p{L}\p{N}]/u);
      expect(end).toBeGreaterThan(start);
      at = end;
    }
    expect(text.slice(at)).not.toMatch(/[\p{L}\p{N}]/u);
  }), { numRuns: 300 });
});
