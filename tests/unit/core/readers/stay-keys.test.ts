import { expect, it } from 'vitest';
import { StayKeys } from '../../../../core/readers/stay-keys.ts';

const casesOf = (seen: readonly (readonly [string, string])[], aliases: readonly (readonly [string, string])[] = []): Record<string, string> => {
  const keys = new StayKeys();
  for (const [stay, person] of seen) keys.see(stay, person);
  for (const [from, to] of aliases) keys.alias(from, to);
  return Object.fromEntries(keys.cases());
};

it('a stay is a case; a person’s only stay takes what names only the person', () => {
  expect(casesOf([['s1', 'p1'], ['', 'p1'], ['s2', 'p2']])).toEqual({ s1: 's1', p1: 's1', s2: 's2' });
});

it('a person with two stays keeps apart what names neither', () => {
  expect(casesOf([['s1', 'p1'], ['s2', 'p1'], ['', 'p1']])).toEqual({ s1: 's1', s2: 's2', p1: 'p1' });
});

it('what names nothing joins the only case, and stays by itself beside several', () => {
  expect(casesOf([['s1', 'p1'], ['', '']])).toEqual({ 's1': 's1', '': 's1' });
  expect(casesOf([['s1', ''], ['s2', ''], ['', '']])).toEqual({ 's1': 's1', 's2': 's2', '': '' });
  expect(casesOf([['', '']])).toEqual({ '': '' });
});

it('two addresses of one stay are one', () => {
  expect(casesOf([['urn:1', 'p1'], ['s1', 'p1'], ['', 'p1']], [['urn:1', 's1']])).toEqual({ 'urn:1': 's1', 's1': 's1', 'p1': 's1' });
});
