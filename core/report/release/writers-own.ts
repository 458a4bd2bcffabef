/** Words that the writers put into files by themselves, the same in each: no text of a content, and nobody is asked about them. */
export const WRITERS_OWN = [
  'page of', // foot of a page
  'Notes.', 'Slides', 'Previous', 'Next', 'All slides or one', 'Right and left arrow: next and previous slide. Home, End: first and last. Escape: all slides, one below the other.', // HTML of slides
  'Click to edit Master text styles', 'Second level', 'Third level', 'Fourth level', 'Fifth level', // master of notes in PPTX: seen by whoever edits it
  'Lacuna', // what has made the file
] as const;
