import { expect, test } from 'vitest';
import { storyConcerns } from '../../../../core/model/story-concerns.ts';

const story = (text: string, title = 'A title', question = '') => ({ title: 'Cold hands', question, moments: [{ momentId: '1', part: 'situation' as const, factor: null, title, text, notes: 'Dr Notes stays here', view: null }] });
const found = (text: string): string[] => storyConcerns(story(text), ['K02-arms', 'x']).map(({ what, words }) => `${what}: ${words}`);

test('names of cases, dates, clock times, persons with a title and rooms are asked about, with the place where they stand', () => {
  expect(found('As in k02-ARMS-tucked')).toEqual(['the name of a case: K02-arms']);
  expect(found('on 3 April 2031 and 17.03.31, 2031-03-17')).toEqual(['a date: 3 April 2031', 'a date: 17.03.31', 'a date: 2031-03-17']);
  expect(found('from 08:42 to 23:05:10')).toEqual(['a clock time: 08:42', 'a clock time: 23:05:10']);
  expect(found('Dr. Åse Lind and Nurse O\'Hara')).toEqual(['a title before a name: Dr. Åse', 'a title before a name: Nurse O\'Hara']);
  expect(found('in Theatre 3, bed no. 12')).toEqual(['a room or bed: Theatre 3', 'a room or bed: bed no. 12']);
  expect(storyConcerns(story('', 'Room 2', 'Ward 5?'), []).map(({ where }) => where)).toEqual(['the question', 'moment 1']);
});

test('what a proposal writes is not asked about: times from the first row, doses, lengths and values', () => {
  expect(found('No SpO2 at the finger from 0:42:10 of the record; back there at 1:00:00, lost between 40 s and 1 min 50 s.\nSpO2 97 % before and 92 % after.\nOn record before it: phenylephrine 100 µg at 0:41:05; arms tucked at 0:25:00.')).toEqual([]);
});
