import ts from 'typescript';
import { describe, expect, test } from 'vitest';
import { helpPages } from '../../electron/launch/help-pages.mjs';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { FIGURES, isFigureId, pagePath } from '../../renderer/help/figure-register.ts';
import type { HelpBlock, HelpInline } from '../../renderer/help/help-page.ts';
import { sectionsOf } from '../../renderer/help/help-sections.ts';
import { PARAMETER_HELP } from '../../renderer/panels/definitions/parameter-help.ts';
import { filesBelow, readText, ROOT } from './source-files.ts';

const PAGES = helpPages(ROOT);
const ANCHORS = new Map(PAGES.map((page) => [page.path, new Set(sectionsOf(page).map(({ anchor }) => anchor))]));
/** Every link from page to page. */
const LINKS = PAGES.flatMap((page) => page.blocks.flatMap((block) => linksOf(block)).map((link) => ({ from: page.path, ...link })));
const REGISTER = Object.entries(FIGURES);

/**
 * Headings of columns that name, date or describe what a row is about, or hold what can be done with it: no figure stands beneath them.
 * A heading that is not here has its page: write <FigureHead figure="…"> instead of <th scope="col">, or `help: <FigureHelp figure="…" />` in the column of a grid.
 */
const NO_FIGURE = new Set([
  // what the row is about
  'Site', 'Sites', 'Case', 'Case of the library', 'Case, as the sender calls it', 'In the list', 'File', 'Files', 'Name', 'Kept as', 'Sender', 'Channel', 'Chart', 'Protocol', 'Field', 'Set', 'Place', 'Where', 'Row', 'Line',
  'As the file names it', 'In the file', 'Value', 'Bound', 'Scale', 'Figure', 'Result', 'Counted', 'Below', 'Information from', 'While lost at', 'information at', 'Which dropouts', 'Point', 'From point', 'Change', 'About',
  // when, as it stands in the record
  'Date', 'Month', 'Time', 'When', 'From', 'To', 'At', 'Its times', 'Made',
  // what leaves
  'Would go out', 'Times', 'Where it stands first', 'Decision',
  // who, what, why, in words
  'Who', 'What', 'What it is', 'Source', 'Use', 'Reason', 'Because', 'Definition', 'Says', 'So far', 'In the library', 'In this import', 'Said instead', 'Overrule', 'Take today&apos;s, because', 'The row as it stands', 'Text',
]);

/** Headings that count or name in one table what elsewhere is a figure. */
const NO_FIGURE_HERE: Readonly<Record<string, readonly string[]>> = {
  'renderer/panels/meeting/actions/actions-panel.tsx': ['What is to be done', 'Owner (role)', 'Changed from', 'Measured by'],
  // what leaves, summed up by column
  'renderer/panels/release/release-dialog.tsx': ['Column', 'Kind', 'Cells', 'Smallest', 'Largest'],
  'renderer/panels/meeting/stories-panel.tsx': ['Title', 'Cases', 'Moments', 'Planned'],
};

/** Headings that are no literal text, by file, with why they need no page of their own. */
const DYNAMIC: Readonly<Record<string, string>> = {
  'renderer/charts/chart-figure.tsx': 'the numbers of a picture: the picture has the page',
  'renderer/panels/case-view/report-view.tsx': 'a report as it will be printed: it names the page of each table in words',
  'renderer/panels/import-panel/change-dialog.tsx': 'names what has changed',
  'renderer/panels/mapping/row-tables.tsx': 'columns of the file itself',
  'renderer/timeline/value-table.tsx': 'headings whose figure is null in the tables of value-rows.ts',
};

interface PageLink {
  readonly path: string;
  readonly anchor: string | null;
}

function linksOf(block: HelpBlock): PageLink[] {
  switch (block.kind) {
    case 'heading':
    case 'paragraph':
      return linksIn(block.content);
    case 'list':
      return block.items.flat().flatMap(linksOf);
    case 'quote':
      return block.content.flatMap(linksOf);
    case 'table':
      return [block.head, ...block.rows].flat().flatMap(linksIn);
    case 'code':
    case 'rule':
      return [];
  }
}

function linksIn(content: readonly HelpInline[]): PageLink[] {
  return content.flatMap((part) => {
    if (typeof part === 'string') return [];
    return [...(part.kind === 'link' ? [{ path: part.path, anchor: part.anchor }] : []), ...('content' in part ? linksIn(part.content) : [])];
  });
}

interface Heading {
  readonly file: string;
  readonly line: number;
  /** null: no literal text. */
  readonly text: string | null;
}

/** Returns what stands in a column heading of the window without a way to its page: bare header cells, and columns of grids without help. */
function bareHeadings(file: string): Heading[] {
  const source = ts.createSourceFile(file, readText(file), ts.ScriptTarget.Latest, true, ts.ScriptKind.TSX);
  const found: Heading[] = [];
  const add = (node: ts.Node, text: string | null): void => {
    found.push({ file, line: source.getLineAndCharacterOfPosition(node.getStart()).line + 1, text });
  };
  const visit = (node: ts.Node): void => {
    if (ts.isJsxElement(node) && node.openingElement.tagName.getText() === 'th' && /scope="col"/.test(node.openingElement.getText())) {
      const inner = node.children.map((child) => child.getText()).join('').trim();
      if (!inner.startsWith('<span className="visually-hidden">')) add(node, node.children.every(ts.isJsxText) ? inner : null);
    }
    if (ts.isObjectLiteralExpression(node)) {
      const named = new Map(node.properties.flatMap((property) => (ts.isPropertyAssignment(property) ? [[property.name.getText(), property.initializer] as const] : [])));
      const header = named.get('header');
      if (header !== undefined && named.has('id') && named.has('cell') && !named.has('help') && !header.getText().includes('visually-hidden')) add(node, ts.isStringLiteral(header) ? header.text : null);
    }
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}

const WINDOW = [...filesBelow('renderer', /\.tsx$/)].filter((file) => !file.startsWith('renderer/help/') && !file.startsWith('renderer/widgets/'));

describe('the register of figures', () => {
  test('every figure has a page, and its anchor is on it', () => {
    expect(REGISTER.length).toBeGreaterThan(80);
    expect(REGISTER.filter(([id]) => isFigureId(id) && !ANCHORS.has(pagePath(id))).map(([id]) => id)).toEqual([]);
    expect(REGISTER.filter(([id, { anchor }]) => isFigureId(id) && anchor !== null && ANCHORS.get(pagePath(id))?.has(anchor) !== true).map(([id, { anchor }]) => `${id}#${anchor}`)).toEqual([]);
  });

  test('every page about a method or a figure is reached from a figure, over links at most', () => {
    const reached = new Set(REGISTER.map(([, { page }]) => `docs/${page}.md`));
    // Over the links between pages too: not every page is about a figure that the window shows.
    for (let before = 0; before < reached.size; ) {
      before = reached.size;
      for (const { from, path } of LINKS) if (reached.has(from)) reached.add(path);
    }
    const pages = [...filesBelow('docs/methods', /\.md$/), ...filesBelow('docs/metrics', /\.md$/)];
    expect(pages.length).toBeGreaterThan(30);
    expect(pages.filter((path) => !reached.has(path) || !ANCHORS.has(path))).toEqual([]);
  });

  test('every figure stands somewhere in the window', () => {
    const text = [...filesBelow('renderer', /\.tsx?$/)].filter((file) => file !== 'renderer/help/figure-register.ts').map(readText).join('\n');
    // The others of a page's figures are reached from it; a figure that no part of the window names is a line too many.
    expect(REGISTER.filter(([id]) => !text.includes(`figure="${id}"`) && !text.includes(`'${id}'`)).map(([id]) => id)).toEqual([]);
  });
});

describe('numbers that a person sets', () => {
  test('every parameter of the analysis has the part of a page beside it that names it', () => {
    expect(Object.keys(PARAMETER_HELP).sort()).toEqual(Object.keys(DEFAULT_PARAMETERS).filter((name) => name !== 'name').sort());
    const unnamed = Object.entries(PARAMETER_HELP).filter(([name, figure]) => {
      const { anchor } = FIGURES[figure];
      const page = PAGES.find(({ path }) => path === pagePath(figure));
      const section = page === undefined ? undefined : sectionsOf(page).find((one) => one.anchor === anchor);
      return section === undefined || !new RegExp(`\\b${name}\\b`).test(section.text);
    });
    expect(unnamed).toEqual([]);
  });

  /** Fields that no figure hangs on, with why. */
  const NO_HELP: Readonly<Record<string, string>> = {
    'renderer/panels/keeping/keeping-panel.tsx': 'minutes until the library locks',
    'renderer/panels/meeting/story-editor.tsx': 'minutes planned for a case of a meeting',
    'renderer/panels/mapping/file-controls.tsx labelHidden': 'the box above it says what it is, and the hint what counts without it',
    'renderer/panels/definitions/definitions-panel.tsx label="from"': 'the legend of the pair has the page',
    'renderer/panels/definitions/definitions-panel.tsx label="to"': 'the legend of the pair has the page',
    'renderer/panels/definitions/definitions-panel.tsx entry.otherLabel': 'the legend of the list has the page',
  };

  test('no field for a number that a figure hangs on is without its page', () => {
    const fields = WINDOW.flatMap((file) => [...readText(file).matchAll(/<NumberField\b[^]*?\/>/g)].map(([text]) => ({ file, text })));
    expect(fields.length).toBeGreaterThan(20);
    const isListed = ({ file, text }: { readonly file: string; readonly text: string }): boolean =>
      Object.keys(NO_HELP).some((key) => { const [path, ...words] = key.split(' '); return path === file && text.includes(words.join(' ')); });
    expect(fields.filter((field) => !field.text.includes('help={') && !isListed(field)).map(({ file, text }) => `${file}: ${text.slice(0, 80)}`)).toEqual([]);
  });
});

describe('headings of the window', () => {
  const bare = WINDOW.flatMap(bareHeadings);

  test('no column of figures is without its page', () => {
    const missing = bare.filter(({ file, text }) => (text === null ? DYNAMIC[file] === undefined : !NO_FIGURE.has(text) && NO_FIGURE_HERE[file]?.includes(text) !== true));
    expect(missing.map(({ file, line, text }) => `${file}:${line} ${text ?? '(no literal text)'}`)).toEqual([]);
  });

  test('the lists of headings without a page hold no heading that is gone', () => {
    const texts = new Set(bare.map(({ text }) => text));
    expect([...NO_FIGURE].filter((text) => !texts.has(text))).toEqual([]);
    expect(Object.keys(DYNAMIC).filter((file) => !bare.some((heading) => heading.file === file && heading.text === null))).toEqual([]);
  });

  test('terms of lists of figures have their page', () => {
    /** Lists of words, keys, presets and properties: nothing in them is worked out. */
    const lists = ['renderer/app/help-dialog.tsx', 'renderer/panels/about/about-panel.tsx', 'renderer/panels/case-view/explanations.tsx', 'renderer/panels/case-view/record-dialog.tsx', 'renderer/panels/definitions/definitions-panel.tsx'];
    const terms = WINDOW.filter((file) => !lists.includes(file)).flatMap((file) => [...readText(file).matchAll(/<dt>([^{<]+)<\/dt>/g)].map(([, text]) => `${file}: ${text}`));
    expect(terms).toEqual([]);
  });
});

test('every link between pages leads to a part that is there', () => {
  expect(LINKS.length).toBeGreaterThan(100);
  expect(LINKS.filter(({ path, anchor }) => !ANCHORS.has(path) || (anchor !== null && ANCHORS.get(path)?.has(anchor) !== true)).map(({ from, path, anchor }) => `${from} → ${path}#${anchor}`)).toEqual([]);
});

test('every page that a report names beneath a table is one of the help', () => {
  const named = filesBelow('core/report/document', /\.ts$/).flatMap((file) => [...readText(file).matchAll(/'((?:methods|metrics|formats)\/[a-z-]+)'/g)].map(([, page]) => `docs/${page}.md`));
  expect(named.length).toBeGreaterThan(10);
  expect(named.filter((path) => !ANCHORS.has(path))).toEqual([]);
});
