import { unzipSync, strFromU8 } from 'fflate';
import PptxGenJS from 'pptxgenjs';
import { SaxesParser } from 'saxes';
import { beforeAll, describe, expect, test } from 'vitest';
import type { Deck } from '../../core/model/deck.ts';
import type { ReleaseAnswer } from '../../core/model/release.ts';
import { releaseOf } from '../../core/report/release/release-list.ts';
import { deckPptx } from '../../core/worker/deck-pptx.ts';
import { readReportFonts, type ReportFonts } from '../../core/worker/report-fonts.ts';
import { svgPng } from '../../core/worker/scene-png.ts';
import { releaseDeck } from '../../core/worker/write-release.ts';

/* What is relied on in pptxgenjs 4.0.1 and @resvg/resvg-wasm 2.6.2, and what the presentation is by the open standard. */

let fonts: ReportFonts;
beforeAll(async () => {
  fonts = await readReportFonts();
});

const DECK: Deck = {
  title: 'Blind & “under” <the> drapes', language: 'en', header: 'Peer review', footer: 'Lacuna 0.1.0',
  slides: [
    {
      slideId: 'a', part: 'Situation', title: 'Case A: the loss', notes: 'Ask first.',
      blocks: [
        { kind: 'paragraph', tone: 'plain', text: 'The arm was tucked.\u0007' },
        { kind: 'figure', table: null, figure: { caption: 'Timeline', alternative: 'a "line" & <more>', scene: { width: 100, height: 30, shapes: [{ kind: 'text', x: 2, y: 20, text: 'SpO2', size: 8, ink: 'ink', align: 'start' }] } } },
      ],
    },
    { slideId: 'b', part: '', title: 'Table', notes: '', blocks: [{ kind: 'table', table: { caption: 'Losses', columns: [{ heading: 'Loss', align: 'start' }, { heading: 'Length', align: 'end' }], rows: [['finger 1', '45 s']], note: '' } }, { kind: 'list', items: ['one', 'two'], isNumbered: false }] },
  ],
};

async function partsOf(deck: Deck): Promise<Map<string, Uint8Array>> {
  return new Map(Object.entries(unzipSync(await deckPptx(deck, fonts))));
}

interface Tag {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
}

function tagsOf(xml: string): Tag[] {
  const tags: Tag[] = [];
  const parser = new SaxesParser();
  parser.on('opentag', ({ name, attributes }) => tags.push({ name, attributes: attributes as Record<string, string> })); // without namespaces attributes are texts
  parser.on('error', (error) => {
    throw error;
  });
  parser.write(xml).close();
  return tags;
}

describe('a presentation by ECMA-376 (5th edition; part 2, Open Packaging Conventions)', () => {
  test('every part is well-formed, has a content type (part 2, 7.2.3), and every relationship leads to a part of the package (part 2, 6.5)', async () => {
    const parts = await partsOf(DECK);
    const types = tagsOf(strFromU8(parts.get('[Content_Types].xml') ?? new Uint8Array()));
    const defaults = new Set(types.filter(({ name }) => name === 'Default').map(({ attributes }) => attributes['Extension']));
    const overrides = new Set(types.filter(({ name }) => name === 'Override').map(({ attributes }) => attributes['PartName']));
    for (const part of overrides) expect(parts.has((part ?? '').slice(1)), part).toBe(true);
    for (const [name, bytes] of parts) {
      if (name !== '[Content_Types].xml') expect(overrides.has(`/${name}`) || defaults.has(name.split('.').at(-1) ?? ''), name).toBe(true);
      if (!/\.(xml|rels)$/.test(name)) continue;
      const tags = tagsOf(strFromU8(bytes));
      if (!name.endsWith('.rels')) continue;
      const folder = name.replace(/_rels\/[^/]+$/, '');
      const ids = tags.filter((tag) => tag.name === 'Relationship').map(({ attributes }) => attributes['Id']);
      expect(new Set(ids).size, name).toBe(ids.length);
      for (const { name: tag, attributes } of tags) {
        if (tag !== 'Relationship') continue;
        expect(attributes['TargetMode'], name).toBeUndefined();
        const target = new URL(attributes['Target'] ?? '', `file:///${folder}`).pathname.slice(1);
        expect(parts.has(target), `${name} → ${target}`).toBe(true);
      }
    }
  });

  test('shapes of a slide have numbers of their own (part 1, 19.3.1.12), pictures and tables words, tables a head (21.1.3.15), slides a title and a number', async () => {
    const parts = await partsOf(DECK);
    for (const number of [1, 2]) {
      const tags = tagsOf(strFromU8(parts.get(`ppt/slides/slide${number}.xml`) ?? new Uint8Array()));
      const ids = tags.filter(({ name }) => name === 'p:cNvPr').map(({ attributes }) => attributes['id']);
      expect(new Set(ids).size).toBe(ids.length);
      expect(tags.some(({ name, attributes }) => name === 'p:ph' && attributes['type'] === 'title')).toBe(true);
      expect(tags.some(({ name, attributes }) => name === 'a:fld' && attributes['type'] === 'slidenum')).toBe(true);
    }
    const first = strFromU8(parts.get('ppt/slides/slide1.xml') ?? new Uint8Array());
    expect(first).toContain('descr="a &quot;line&quot; &amp; &lt;more&gt;"');
    const second = tagsOf(strFromU8(parts.get('ppt/slides/slide2.xml') ?? new Uint8Array()));
    expect(second.filter(({ name }) => name === 'a:tc')).toHaveLength(4);
    expect(second.find(({ name }) => name === 'a:tblPr')?.attributes['firstRow']).toBe('1');
    expect(second.some(({ name, attributes }) => name === 'p:cNvPr' && attributes['descr'] === 'Losses')).toBe(true);
    expect(strFromU8(parts.get('ppt/notesSlides/notesSlide1.xml') ?? new Uint8Array())).toContain('Ask first.');
  });

  test('a title that is too long for one line is smaller on the slide itself, not only in what was asked of the library; the first column begins at the edge', async () => {
    const long = 'Case B: View 2: finger: SpO2 lost at +0:33:20: the table behind the picture';
    const sizesOf = async (title: string): Promise<(string | undefined)[]> => {
      const parts = await partsOf({ ...DECK, slides: DECK.slides.slice(1).map((slide) => ({ ...slide, title })) });
      const xml = strFromU8(parts.get('ppt/slides/slide1.xml') ?? new Uint8Array());
      const end = xml.indexOf(`<a:t>${title}</a:t>`);
      return tagsOf(`<r xmlns:a="a">${xml.slice(xml.lastIndexOf('<a:rPr', end), xml.lastIndexOf('</a:rPr>', end))}</a:rPr></r>`).flatMap(({ name, attributes }) => (name === 'a:rPr' ? [attributes['sz']] : []));
    };
    expect(await sizesOf('Table')).toEqual(['2600']);
    expect(await sizesOf(long)).toEqual(['2000']);
    const cells = tagsOf(strFromU8((await partsOf(DECK)).get('ppt/slides/slide2.xml') ?? new Uint8Array())).filter(({ name }) => name === 'a:tcPr');
    expect(cells.map(({ attributes }) => attributes['marL'])).toEqual(['0', '127000', '0', '127000']);
  });

  test('pictures are 3840 pixels wide; there is no time of making and no other program in it; the same deck gives the same bytes', async () => {
    const parts = await partsOf(DECK);
    const png = [...parts].find(([name]) => name.endsWith('.png'))?.[1] ?? new Uint8Array();
    // PNG (ISO/IEC 15948): the width stands in bytes 16 to 19.
    expect(new DataView(png.buffer, png.byteOffset).getUint32(16)).toBe(3840);
    const text = [...parts].filter(([name]) => /\.(xml|rels)$/.test(name)).map(([, bytes]) => strFromU8(bytes)).join('');
    expect(text).not.toMatch(/20[2-9]\d-\d\d|PptxGenJS|<Company>|PowerPoint Presentation|Microsoft Office PowerPoint/);
    expect(Buffer.compare(Buffer.from(await deckPptx(DECK, fonts)), Buffer.from(await deckPptx(DECK, fonts)))).toBe(0);
  });

  test('the library still needs to be put right: numbers of shapes occur twice', async () => {
    const pptx = new PptxGenJS();
    const slide = pptx.addSlide();
    slide.addText('a', { x: 0, y: 0, w: 1, h: 1 });
    slide.addTable([[{ text: 'b' }]], { x: 1, y: 1, w: 1 });
    const xml = strFromU8(unzipSync((await pptx.write({ outputType: 'uint8array' })) as Uint8Array)['ppt/slides/slide1.xml'] ?? new Uint8Array()); // bytes were asked for
    const ids = tagsOf(xml).filter(({ name }) => name === 'p:cNvPr').map(({ attributes }) => attributes['id']);
    expect(new Set(ids).size).toBeLessThan(ids.length);
  });
});

describe('drawing SVG as PNG', () => {
  const svg = (text: string): string => `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 20"><text x="2" y="15" font-family="'DejaVu Sans Condensed'" font-size="12">${text}</text></svg>`;

  test('letters come from the fonts that are handed over; the same text gives the same bytes', async () => {
    const [a, again, other] = [await svgPng(svg('SpO2 Ж'), fonts, 400), await svgPng(svg('SpO2 Ж'), fonts, 400), await svgPng(svg(''), fonts, 400)];
    expect(Buffer.compare(Buffer.from(a), Buffer.from(again))).toBe(0);
    expect(a.byteLength).toBeGreaterThan(other.byteLength + 300);
  });

  test('two that begin at once both end', async () => {
    expect((await Promise.all([svgPng(svg('a'), fonts, 50), svgPng(svg('b'), fonts, 50)])).every(({ byteLength }) => byteLength > 50)).toBe(true);
  });
});

/* A PNG was once written without the characters that the fonts do not have, and nobody was told. */
test('a picture names the characters that its font does not have, and shows a sign in their place', async () => {
  const titled = (title: string): Deck => ({ title: '', language: 'en', header: '', footer: '', slides: [{ slideId: 'a', part: '', title, notes: '', blocks: [{ kind: 'figure', table: null, figure: { caption: '', alternative: '', scene: { width: 100, height: 20, shapes: [] } } }] }] });
  const answersTo = (deck: Deck): ReleaseAnswer[] => releaseOf({ kind: 'deck', deck }, []).list.tokens.map(({ kind, text }) => ({ kind, text, decision: 'keep', with: '' }));
  const written = await releaseDeck(titled('Arm 心'), answersTo(titled('Arm 心')), 'png', 0, fonts);
  const withSign = await releaseDeck(titled('Arm \u25a1'), answersTo(titled('Arm \u25a1')), 'png', 0, fonts);
  if (!written.ok || !withSign.ok) throw new Error('not written');
  expect(written.value.notInFont).toBe('心');
  expect(withSign.value.notInFont).toBe('');
  expect(Buffer.compare(Buffer.from(written.value.bytes), Buffer.from(withSign.value.bytes))).toBe(0);
});
