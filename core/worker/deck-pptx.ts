import PptxGenJS from 'pptxgenjs';
import { strFromU8, strToU8, unzipSync, zipSync } from 'fflate';
import { SLIDE_SIZE, type Deck, type DeckSlide } from '../model/deck.ts';
import { INKS } from '../model/report-document.ts';
import { layOutSlide, SLIDE_FRAME, textWidth, type PlacedPart } from '../report/deck/slide-layout.ts';
import { escapeText } from '../report/document/escape-text.ts';
import { sceneSvg } from '../report/document/scene-svg.ts';
import { unbroken } from '../base/unbroken.ts';
import type { ReportFonts } from './report-fonts.ts';
import { svgPng } from './scene-png.ts';

/** On every machine that shows slides, or taken by one of the same widths. */
const FACE = 'Arial';
const IN = 72;
const MASTER = 'Lacuna slide';

const hex = (ink: keyof typeof INKS): string => INKS[ink].slice(1).toUpperCase();

/**
 * Returns slides as an Office Open XML presentation (ECMA-376): native text and tables, pictures of 3840 pixels with words for whoever
 * cannot see them, slide numbers, the confidentiality text on each slide.
 * Shape   the same deck gives the same bytes: no author, company or time of making is in it.
 */
export async function deckPptx(deck: Deck, fonts: ReportFonts): Promise<Uint8Array<ArrayBuffer>> {
  const pptx = new PptxGenJS();
  pptx.defineLayout({ name: 'L16x9', width: SLIDE_SIZE.width / IN, height: SLIDE_SIZE.height / IN });
  pptx.layout = 'L16x9';
  pptx.theme = { headFontFace: FACE, bodyFontFace: FACE };
  const { side, header, part, title, footer } = SLIDE_FRAME;
  const width = SLIDE_SIZE.width - 2 * side;
  const common = { fontFace: FACE, margin: 0, valign: 'top' } as const;
  pptx.defineSlideMaster({
    title: MASTER,
    objects: [
      ...(deck.header === '' ? [] : [{ text: { text: plain(deck.header), options: { ...common, ...at(side, header.y, width, header.height), fontSize: header.size, bold: true, align: 'center' as const, color: hex('ink') } } }]),
      { line: { ...at(side, footer.y - 3, width, 0), line: { color: hex('rule'), width: 0.5 } } },
      { text: { text: plain(deck.footer), options: { ...common, ...at(side, footer.y, width - 90, footer.height), fontSize: footer.size, color: hex('soft') } } },
      { placeholder: { options: { name: 'title', type: 'title', ...common, ...at(side, title.y, width, title.height), fontSize: title.size, bold: true, align: 'left', color: hex('ink') }, text: '' } },
    ],
    slideNumber: { ...at(side + width - 90, footer.y - 2, 90, footer.height + 4), fontFace: FACE, fontSize: footer.size, color: hex('soft'), align: 'right' },
  });
  for (const own of deck.slides) {
    const slide = pptx.addSlide({ masterName: MASTER });
    // On the run: the library gives the size of the master to a placeholder whatever is asked of it.
    slide.addText([{ text: plain(own.title), options: { fontSize: titleSize(own.title, width) } }], { placeholder: 'title' });
    if (own.part !== '') slide.addText(plain(own.part), { ...common, ...at(side, part.y, width, part.height), fontSize: part.size, color: hex('soft') });
    for (const placed of layOutSlide(own)) await addPart(slide, placed, fonts);
    if (own.notes !== '') slide.addNotes(plain(own.notes));
  }
  const written = await pptx.write({ outputType: 'uint8array' });
  if (!(written instanceof Uint8Array)) throw new Error('bytes were asked for');
  return tidied(written, deck);
}

function at(x: number, y: number, w: number, h: number): { readonly x: number; readonly y: number; readonly w: number; readonly h: number } {
  return { x: x / IN, y: y / IN, w: w / IN, h: h / IN };
}

/** A number stays on one line with its unit. What XML cannot hold is replaced; the library itself writes the signs of XML as entities. */
function plain(text: string): string {
  return escapeText(unbroken(text)).replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&quot;', '"').replaceAll('&amp;', '&');
}

/** Returns what stays free around the text of a cell, inches: above, right, below, left. The first column begins where the text above does. */
function cellMargin(left: number): [number, number, number, number] {
  return [4 / IN, 10 / IN, 4 / IN, left / IN];
}

/** Sizes of a title, pt; of the least, two lines fit above the body. */
const TITLE_SIZES = [SLIDE_FRAME.title.size, 23, 20, 17] as const;
const LEAST_TITLE_SIZE = 14;

/** Returns the largest size at which a title stays on one line: its face may be wider than that of the PDF, and nothing below it gives way. */
function titleSize(text: string, width: number): number {
  return TITLE_SIZES.find((size) => textWidth(text, size, true) <= width) ?? LEAST_TITLE_SIZE;
}

async function addPart(slide: PptxGenJS.Slide, placed: PlacedPart, fonts: ReportFonts): Promise<void> {
  const place = at(placed.x, placed.y, placed.width, placed.height);
  const common = { fontFace: FACE, margin: 0, valign: 'top', color: hex('ink') } as const;
  switch (placed.kind) {
    case 'text':
      slide.addText(plain(placed.text), { ...common, ...place, fontSize: placed.size, bold: placed.isBold, color: hex(placed.isSoft ? 'soft' : 'ink') });
      break;
    case 'list':
      slide.addText(placed.items.map((text) => ({ text: plain(text), options: { bullet: placed.isNumbered ? { type: 'number' as const, indent: 24 } : { indent: 24 }, breakLine: true, paraSpaceAfter: 4 } })), { ...common, ...place, fontSize: placed.size });
      break;
    case 'facts':
      slide.addText(placed.rows.flatMap(([name, text]) => [{ text: `${plain(name)}: `, options: { bold: true } }, { text: plain(text), options: { breakLine: true, paraSpaceAfter: 4 } }]), { ...common, ...place, fontSize: placed.size });
      break;
    case 'table': {
      const { table, widths, rowHeights, size } = placed;
      const rule = (isHead: boolean): PptxGenJS.BorderProps => ({ type: 'solid', pt: isHead ? 1 : 0.5, color: hex(isHead ? 'rule' : 'faint') });
      const row = (cells: readonly string[], isHead: boolean): PptxGenJS.TableRow =>
        cells.map((text, i) => ({ text: plain(text), options: { margin: cellMargin(i === 0 ? 0 : 10), bold: isHead, color: hex(isHead ? 'soft' : 'ink'), align: table.columns[i]?.align === 'end' ? 'right' : 'left', border: [{ type: 'none' }, { type: 'none' }, rule(isHead), { type: 'none' }] } }));
      slide.addTable([row(table.columns.map(({ heading }) => heading), true), ...table.rows.map((cells) => row(cells, false))], {
        ...place, colW: widths.map((one) => one / IN), rowH: rowHeights.map((one) => one / IN), fontFace: FACE, fontSize: size, valign: 'top', margin: cellMargin(10),
      });
      break;
    }
    case 'figure': {
      const png = await svgPng(sceneSvg(placed.figure.scene, ''), fonts);
      slide.addImage({ ...place, data: `image/png;base64,${Buffer.from(png).toString('base64')}`, altText: plain(placed.figure.alternative) });
      break;
    }
  }
}

/** The beginning of what a ZIP can date, which it does in the time of the machine's zone; in the properties the beginning of the computers' count. Neither is a time of making. */
const ZIP_EPOCH_MS = 315_532_800_000;
const PROPERTY_TIME = '1970-01-01T00:00:00Z';

/**
 * Returns the presentation with what the library cannot be told: no time of making, no name of another program, every shape of a slide
 * with a number of its own (ECMA-376 part 1, 19.3.1.12), the first row of a table said to be its head (21.1.3.15), and words for tables.
 */
function tidied(written: Uint8Array, deck: Deck): Uint8Array<ArrayBuffer> {
  const parts = unzipSync(written);
  const out: Record<string, Uint8Array> = {};
  for (const name of Object.keys(parts).sort(partOrder)) {
    const bytes = parts[name];
    // Folders are no parts of a package.
    if (bytes === undefined || name.endsWith('/')) continue;
    const slide = /^ppt\/slides\/slide(\d+)\.xml$/.exec(name);
    if (name === 'docProps/core.xml') out[name] = strToU8(coreProperties(deck));
    else if (name === 'docProps/app.xml') out[name] = strToU8(APP_PROPERTIES);
    else if (name === '[Content_Types].xml') out[name] = strToU8(contentTypes(strFromU8(bytes), parts));
    else if (slide !== null) out[name] = strToU8(tidySlide(strFromU8(bytes), deck.slides[Number(slide[1]) - 1]));
    else out[name] = name.endsWith('.xml') || name.endsWith('.rels') ? strToU8(tidyXml(strFromU8(bytes))) : bytes;
  }
  return new Uint8Array(zipSync(out, { mtime: ZIP_EPOCH_MS + new Date(ZIP_EPOCH_MS).getTimezoneOffset() * 60_000, level: 6 }));
}

/** The list of content types comes first, as readers expect. */
function partOrder(a: string, b: string): number {
  const rank = (name: string): number => (name === '[Content_Types].xml' ? 0 : name === '_rels/.rels' ? 1 : 2);
  return rank(a) - rank(b) || (a < b ? -1 : 1);
}

/** The library names a master for every slide, of which there is one (part 2, 7.2.3.3: an override is of a part of the package). */
function contentTypes(xml: string, parts: Readonly<Record<string, unknown>>): string {
  return xml.replace(/<Override PartName="\/([^"]*)"[^>]*\/>/g, (override: string, name: string) => (name in parts ? override : ''));
}

/** The library writes a name for the theme and for layouts that name another program. */
function tidyXml(xml: string): string {
  return xml.replaceAll('name="Office Theme"', 'name="Lacuna"').replaceAll('name="Office"', 'name="Lacuna"').replaceAll('lang="en-US"', 'lang="en"');
}

function tidySlide(xml: string, slide: DeckSlide | undefined): string {
  let id = 1;
  let table = 0;
  const captions = (slide?.blocks ?? []).flatMap((block) => (block.kind === 'table' ? [block.table.caption] : []));
  return tidyXml(xml)
    .replace(/<p:cNvPr id="\d+" name="([^"]*)"/g, (_, name: string) => `<p:cNvPr id="${id++}" name="${name}"`)
    .replace(/(<p:nvGraphicFramePr><p:cNvPr id="\d+" name="[^"]*")/g, (head: string) => `${head} descr="${escapeText(captions[table++] ?? '')}"`)
    .replaceAll('<a:tblPr/>', '<a:tblPr firstRow="1"/>');
}

function coreProperties({ title }: Deck): string {
  return `<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:dcterms="http://purl.org/dc/terms/" xmlns:dcmitype="http://purl.org/dc/dcmitype/" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"><dc:title>${escapeText(title)}</dc:title><dc:language>en</dc:language><dcterms:created xsi:type="dcterms:W3CDTF">${PROPERTY_TIME}</dcterms:created><dcterms:modified xsi:type="dcterms:W3CDTF">${PROPERTY_TIME}</dcterms:modified></cp:coreProperties>`;
}

const APP_PROPERTIES = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/extended-properties"><Application>Lacuna</Application></Properties>';
