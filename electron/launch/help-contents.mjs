/** Where the pages lie, in the order of the contents. */
export const HELP_GROUPS = [
  { group: 'Methods', folder: 'docs/methods' },
  { group: 'Figures', folder: 'docs/metrics' },
  { group: 'Using the program', folder: 'docs/user-guide', files: ['docs/review.md', 'docs/library.md', 'docs/headless.md'] },
  { group: 'Reports', folder: 'docs/reports' },
  { group: 'Words', files: ['docs/glossary.md'] },
  { group: 'Files that are read and written', folder: 'docs/formats' },
];

/** What the build has to look at to know that its pages are stale. */
export const HELP_INPUTS = HELP_GROUPS.flatMap(({ folder, files = [] }) => [...(folder === undefined ? [] : [folder]), ...files]);
