import { describe, expect, test } from 'vitest';
import { helpPage } from '../../../../electron/launch/help-pages.mjs';
import type { HelpPage } from '../../../../renderer/help/help-page.ts';
import { sectionsOf } from '../../../../renderer/help/help-sections.ts';
import { searchHelp } from '../../../../renderer/help/search-help.ts';

const NONE: ReadonlySet<string> = new Set();
const page = (path: string, text: string): HelpPage => helpPage(path, 'Methods', text, NONE);
const PAGES = [
  page('docs/methods/dropout.md', '# Dropout\n\nOne episode.\n\n## Definition\n\nA run of lost values between two good ones.\n\n**Record gaps.** Taken off, as `record-gap.md` says.\n'),
  page('docs/methods/record-gap.md', '# Record gap\n\n## Definition\n\nEvery channel is missing: the recorder stopped. Hypoxæmia and café have marks.\n'),
];

describe('search over the pages', () => {
  test('finds the parts that hold every word, in any order and case, titles first', () => {
    expect(searchHelp(PAGES, 'GAP record').map(({ path, title }) => `${path} ${title}`)).toEqual([
      'docs/methods/dropout.md Record gaps', 'docs/methods/record-gap.md Record gap', 'docs/methods/record-gap.md Definition',
    ]);
    expect(searchHelp(PAGES, 'recorder missing')).toMatchObject([{ path: 'docs/methods/record-gap.md', anchor: 'definition', pageTitle: 'Record gap' }]);
    expect(searchHelp(PAGES, 'lost recorder')).toEqual([]);
  });

  test('a word with or without its accent is the same word, and the text around it is shown as it stands', () => {
    expect(searchHelp(PAGES, 'cafe')[0]?.around).toContain('café');
    expect(searchHelp(PAGES, 'CAFÉ')).toHaveLength(1);
  });

  test('finds nothing for nothing', () => {
    expect(searchHelp(PAGES, '  ')).toEqual([]);
    expect(searchHelp([], 'gap')).toEqual([]);
  });

  test('a part is a heading or a paragraph that begins in bold, with the text beneath it', () => {
    const [dropout] = PAGES;
    expect(dropout === undefined ? [] : sectionsOf(dropout)).toEqual([
      { anchor: 'dropout', title: 'Dropout', text: 'One episode.' },
      { anchor: 'definition', title: 'Definition', text: 'A run of lost values between two good ones.' },
      { anchor: 'record-gaps', title: 'Record gaps', text: 'Record gaps. Taken off, as record-gap.md says.' },
    ]);
  });
});
