import type { ReleaseKind } from '../../../core/model/release.ts';

/** What each kind is called in the list, why it is asked about, and, for what leaves as it is or not at all, where it is changed. */
export const KIND_WORDS: Readonly<Record<ReleaseKind, { readonly name: string; readonly why: string; readonly changed: string }>> = {
  'name': { name: 'May be names', why: 'Frequent names, words behind a title or initials, and words with a capital inside a sentence.', changed: 'Say of its column “leave it out” in the report of the import or in a mapping, or explain the phrase in the mapping, and import anew.' },
  'date': { name: 'Dates, months and days', why: 'A year alone is not asked about.', changed: 'Make the bundle with times from the first row only: it holds no date then.' },
  'clock time': { name: 'Clock times', why: 'Times with + count from the first row of the case and are not asked about.', changed: 'Make the bundle with times from the first row only: it holds no clock time then.' },
  'identifier': { name: 'Numbers and codes', why: 'Names of cases, numbers of four figures and more, telephone numbers, addresses of mail and web.', changed: '“Leave it out” of the column that names the cases makes codes of them; any other column is left out in the same way. Then import anew.' },
  'place': { name: 'Rooms and addresses', why: 'A room and an hour may be enough to know who it was.', changed: 'Leave its column out in the mapping, or explain the phrase there, and import anew.' },
  'age': { name: 'Ages over 89', why: 'Few people are as old.', changed: 'A column that is read as an age says “90 or more”; leave any other that holds one out in the mapping, and import anew.' },
  'unknown word': { name: 'Words the program does not know', why: 'They are neither in its dictionary nor in its own wording: they may name anybody.', changed: 'Explain the phrase in the mapping, so that a term of the dictionary stands in its place, or leave its column out, and import anew.' },
  'word': { name: 'Words', why: 'Of the dictionary, of everyday language and of the program’s own wording. A rare surname may be among them.', changed: '' },
  'time from the first row': { name: 'Times from the first row of a case', why: '', changed: '' },
  'length of time': { name: 'Lengths of time', why: 'A rare one, to the second, may be found again in the record.', changed: '' },
  'year': { name: 'Years', why: '', changed: '' },
  'number': { name: 'Numbers', why: '', changed: '' },
  'digest': { name: 'Digests of input files', why: 'They say nothing to whoever does not have the files.', changed: '' },
};
