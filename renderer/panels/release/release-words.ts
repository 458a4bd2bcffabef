import type { ReleaseKind } from '../../../core/model/release.ts';

/** What each kind is called in the list, and why it is asked about. */
export const KIND_WORDS: Readonly<Record<ReleaseKind, { readonly name: string; readonly why: string }>> = {
  'name': { name: 'May be names', why: 'Frequent names, words behind a title or initials, and words with a capital inside a sentence.' },
  'date': { name: 'Dates, months and days', why: 'A year alone is not asked about.' },
  'clock time': { name: 'Clock times', why: 'Times with + count from the first row of the case and are not asked about.' },
  'identifier': { name: 'Numbers and codes', why: 'Names of cases, numbers of four figures and more, telephone numbers, addresses of mail and web.' },
  'place': { name: 'Rooms and addresses', why: 'A room and an hour may be enough to know who it was.' },
  'age': { name: 'Ages over 89', why: 'Few people are as old.' },
  'unknown word': { name: 'Words the program does not know', why: 'They are neither in its dictionary nor in its own wording: they may name anybody.' },
  'word': { name: 'Words', why: 'Of the dictionary, of everyday language and of the program’s own wording. A rare surname may be among them.' },
  'time from the first row': { name: 'Times from the first row of a case', why: '' },
  'length of time': { name: 'Lengths of time', why: 'A rare one, to the second, may be found again in the record.' },
  'year': { name: 'Years', why: '' },
  'number': { name: 'Numbers', why: '' },
  'digest': { name: 'Digests of input files', why: 'They say nothing to whoever does not have the files.' },
};
