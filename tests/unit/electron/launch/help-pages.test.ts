import { describe, expect, test } from 'vitest';
import { helpPage } from '../../../../electron/launch/help-pages.mjs';

const KNOWN = new Set(['docs/methods/a.md', 'docs/metrics/b.md']);
const blocksOf = (text: string) => helpPage('docs/methods/a.md', 'Methods', `# A page\n\n${text}\n`, KNOWN).blocks.slice(1);

describe('a page of the documentation as a tree', () => {
  test('title, headings and paragraphs that begin in bold have anchors as links elsewhere know them', () => {
    const page = helpPage('docs/methods/a.md', 'Methods', '# What is *lost*\n\n## Definition: the measures\n\n**Definition.** One.\n\n**Definition.** Two.\n\n## Definition\n\nPlain **bold** inside.\n', KNOWN);
    expect(page.title).toBe('What is lost');
    expect(page.blocks.map((block) => ('id' in block ? block.id : ''))).toEqual(['what-is-lost', 'definition-the-measures', 'definition-1', 'definition-2', 'definition', null]);
  });

  test('a link to a page leads there; one to anything else is words and address', () => {
    expect(blocksOf('[b](../metrics/b.md#range), [here](#definition), [out](https://example.org/x), [code](../../core/x.ts)')).toEqual([
      {
        kind: 'paragraph', id: null, content: [
          { kind: 'link', content: ['b'], path: 'docs/metrics/b.md', anchor: 'range' }, ', ',
          { kind: 'link', content: ['here'], path: 'docs/methods/a.md', anchor: 'definition' }, ', ',
          { kind: 'outside', content: ['out'], address: 'https://example.org/x' }, ', ',
          { kind: 'outside', content: ['code'], address: 'core/x.ts' },
        ],
      },
    ]);
    expect(blocksOf('[x](javascript:alert)')).toMatchObject([{ content: [{ kind: 'outside', address: 'javascript:alert' }] }]);
  });

  test('tables keep the sides of their columns, formulas their spaces and signs', () => {
    expect(blocksOf('| name | value |\n| --- | ---: |\n| `a_*` | Σ lowᵢ ≤ 3 |')).toEqual([
      { kind: 'table', align: ['left', 'right'], head: [['name'], ['value']], rows: [[[{ kind: 'code', text: 'a_*' }], ['Σ lowᵢ ≤ 3']]] },
    ]);
    expect(blocksOf('    Σ lowᵢ  = a − b\n    x < y & z')).toEqual([{ kind: 'code', text: 'Σ lowᵢ  = a − b\nx < y & z' }]);
    expect(blocksOf('`a < b && c` and a < b')).toEqual([{ kind: 'paragraph', id: null, content: [{ kind: 'code', text: 'a < b && c' }, ' and a < b'] }]);
  });

  test('lists keep their order and what lies in them', () => {
    expect(blocksOf('3. three\n4. four\n   - inner')).toMatchObject([{ kind: 'list', isOrdered: true, start: 3, items: [[{ kind: 'paragraph' }], [{ kind: 'paragraph' }, { kind: 'list', isOrdered: false }]] }]);
  });

  test.each([
    ['markup', '<b>bold</b> text'],
    ['a block of markup', '<script>alert(1)</script>'],
    ['an entity', 'a &nbsp; b'],
    ['a struck text', '~~gone~~'],
    ['a list of tasks', '- [ ] task'],
  ])('%s stops the build with the name of the page', (_what, text) => {
    expect(() => blocksOf(text)).toThrow(/^docs\/methods\/a\.md: .* cannot be shown in the window$/s);
  });

  test('a page without a title stops the build', () => {
    expect(() => helpPage('docs/methods/a.md', 'Methods', 'No title.\n', KNOWN)).toThrow('docs/methods/a.md: a page without a title in its first line cannot be shown in the window');
  });
});
