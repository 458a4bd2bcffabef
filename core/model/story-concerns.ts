import type { Story } from './story.ts';

/** Something in the words of a story that may tell who, when or where. */
export interface StoryConcern {
  readonly what: 'the name of a case' | 'a date' | 'a clock time' | 'a title before a name' | 'a room or bed';
  /** As it stands there. */
  readonly words: string;
  readonly where: string;
}

const SHAPES: readonly (readonly [StoryConcern['what'], RegExp])[] = [
  ['a date', /\b\d{1,4}[./-]\d{1,2}[./-]\d{2,4}\b|\b\d{1,2}\.? ?(January|February|March|April|May|June|July|August|September|October|November|December|Jan|Feb|Mar|Apr|Jun|Jul|Aug|Sept?|Oct|Nov|Dec)\b\.?( \d{4})?/g],
  // Times from the first row are written "0:42:10": an hour of two digits is one of a clock, or of a very long record.
  ['a clock time', /(?<![\d:])(0\d|1\d|2[0-3]):[0-5]\d(:[0-5]\d)?\b/g],
  ['a title before a name', /\b(Dr|Prof|Mr|Mrs|Ms|Miss|Sister|Nurse)\b\.? \p{Lu}[\p{L}'-]*/gu],
  ['a room or bed', /\b(theatre|room|bed|bay|OR|ward) ?(no\.? ?)?\d+\b/gi],
];

/**
 * Returns what the words of a story may give away, in the order in which it is told: the names of its cases and what looks like a date, a clock
 * time, a person with a title, or a room. What a person typed is shown as it stands; this only asks to look again, and finds no plain name.
 * Shape    `caseNames` are those of its cases; names of fewer than three characters are not looked for. Notes are not looked at: they stay with the presenter.
 * Source   handbook 9.2 and 9.4; the shapes are ours.
 */
export function storyConcerns(story: Pick<Story, 'title' | 'question' | 'moments'>, caseNames: readonly string[]): StoryConcern[] {
  const names = caseNames.filter((name) => name.length >= 3);
  const within = (text: string, where: string): StoryConcern[] => [
    ...names.filter((name) => text.toLowerCase().includes(name.toLowerCase())).map((words): StoryConcern => ({ what: 'the name of a case', words, where })),
    ...SHAPES.flatMap(([what, shape]) => [...text.matchAll(shape)].map(([words]): StoryConcern => ({ what, words, where }))),
  ];
  return [
    ...within(story.title, 'the title of the story'),
    ...within(story.question, 'the question'),
    ...story.moments.flatMap(({ title, text }, i) => within(`${title}\n${text}`, `moment ${i + 1}`)),
  ];
}
