import { expect, it } from 'vitest';
import { buildPhraseIndex, findPhrases } from '../../../../core/terms/phrase-index.ts';

it('finds the longest phrase first and whole words only', () => {
  const index = buildPhraseIndex([
    ['met', 'a'],
    ['head down', 'b'],
    ['head', 'c'],
  ]);
  expect(findPhrases(['metronidazole', 'met', 'head', 'down', 'head'], index).map((hit) => [hit.start, hit.end, hit.meaning])).toEqual([
    [1, 2, 'a'],
    [2, 4, 'b'],
    [4, 5, 'c'],
  ]);
});

it('refuses a phrase with two meanings, unless told how to join them', () => {
  const twice = [
    ['off', 'a'],
    ['OFF', 'b'],
  ] as const;
  expect(() => buildPhraseIndex<string>(twice)).toThrow('two meanings');
  expect(buildPhraseIndex<string>(twice, (a, b) => a + b).meanings.get('off')).toBe('ab');
});

it('refuses a phrase without a word', () => {
  expect(() => buildPhraseIndex([['--', 1]])).toThrow('empty phrase');
});
