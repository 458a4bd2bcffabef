/**
 * Where the pages lie, in the order of the contents: what a person does first comes first. Of a group, its files stand in the order here,
 * then those of its folder that no group names, by their titles.
 */
export const HELP_GROUPS = [
  {
    group: 'Using the program',
    folder: 'docs/user-guide',
    files: [
      'docs/user-guide/first-steps.md', 'docs/user-guide/importing.md', 'docs/user-guide/the-case.md', 'docs/review.md', 'docs/user-guide/two-sites.md', 'docs/user-guide/the-cohort.md',
      'docs/user-guide/case-list.md', 'docs/user-guide/next-study.md', 'docs/user-guide/the-meeting.md', 'docs/user-guide/actions.md', 'docs/user-guide/keeping-the-library.md',
    ],
  },
  { group: 'Methods', folder: 'docs/methods' },
  { group: 'Figures', folder: 'docs/metrics' },
  { group: 'Reports', folder: 'docs/reports' },
  { group: 'Words', files: ['docs/glossary.md'] },
  { group: 'Without a window, and behind it', files: ['docs/headless.md', 'docs/user-guide/cohort-tables.md', 'docs/library.md'] },
  { group: 'Files that are read and written', folder: 'docs/formats' },
];

/** What the build has to look at to know that its pages are stale. */
export const HELP_INPUTS = HELP_GROUPS.flatMap(({ folder, files = [] }) => [...(folder === undefined ? [] : [folder]), ...files]);
