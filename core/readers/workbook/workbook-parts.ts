import { BrokenContainer } from '../archive/broken-container.ts';
import { numberKind, type NumberKind } from './number-format.ts';
import type { PackageParts } from './package-parts.ts';
import { attributeOf, readXml, SAVE_ANEW } from './xml-reader.ts';

export interface SheetPart {
  readonly name: string;
  readonly isHidden: boolean;
  /** The part with its cells; null for a sheet that holds a chart or a dialogue only. */
  readonly part: string | null;
}

export interface WorkbookParts {
  readonly sheets: readonly SheetPart[];
  readonly is1904: boolean;
  readonly strings: readonly string[];
  /** What the number formats make of a number, by the number of a cell's style. */
  readonly kinds: readonly NumberKind[];
}

/** Far above the longest text of a cell (32,767 characters, each written with up to 7). */
export const MAX_TEXT_CHARS = 2 ** 20;
/** Texts that several cells share are kept while the workbook is read. */
const MAX_SHARED_CHARS = 64 * 2 ** 20;
const MAX_SHARED = 4 * 2 ** 20;

/**
 * Returns what the sheets of a workbook have in common.
 * Errors  throws BrokenContainer when the package is damaged or holds another kind of document.
 * Source  ECMA-376 part 1, sections 18.2 (workbook), 18.4 (shared strings), 18.8 (styles).
 */
export async function readWorkbookParts(parts: PackageParts): Promise<WorkbookParts> {
  const main = (await parts.relationsOf('')).find((relation) => relation.type === 'officeDocument');
  if (main === undefined) throw new BrokenContainer('The workbook is damaged: it does not say where its sheets are.', SAVE_ANEW);
  if (main.target.toLowerCase().endsWith('.bin')) throw new BrokenContainer('This is a binary workbook, which is not read.', 'Save it as XLSX or CSV and import that.');
  const listed: { name: string; isHidden: boolean; id: string }[] = [];
  let root = '';
  let is1904 = false;
  await readXml('The workbook', parts.open(main.target), {
    open(element, attributes) {
      if (root === '') root = element;
      if (element === 'workbookPr') is1904 = isTrue(attributes['date1904']);
      if (element !== 'sheet') return;
      const state = attributes['state'];
      listed.push({ name: attributes['name'] ?? '', isHidden: state === 'hidden' || state === 'veryHidden', id: attributeOf(attributes, 'id') ?? '' });
    },
    text() {
      // The list of sheets is attributes only.
    },
    close() {
      // Nothing is gathered over an element.
    },
  });
  if (root !== 'workbook') throw new BrokenContainer('This is an office document, but no workbook.', 'Save the table in it as XLSX or CSV and import that.');
  const relations = await parts.relationsOf(main.target);
  const strings = relations.find((relation) => relation.type === 'sharedStrings');
  const styles = relations.find((relation) => relation.type === 'styles');
  return {
    is1904,
    sheets: listed.map(({ name, isHidden, id }) => {
      const relation = relations.find((own) => own.id === id);
      return { name, isHidden, part: relation?.type === 'worksheet' ? relation.target : relation === undefined ? '' : null };
    }),
    strings: strings === undefined ? [] : await readSharedStrings(parts, strings.target),
    kinds: styles === undefined ? [] : await readKinds(parts, styles.target),
  };
}

/** Returns whether an attribute says yes. Source: the boolean of XML Schema. */
export function isTrue(text: string | undefined): boolean {
  return text === '1' || text === 'true' || text === 'on';
}

/** Returns text as it was before it was written into XML: `_x000D_` stands for a character that XML cannot hold. Source: ECMA-376 part 1, section 22.9.2.19. */
export function unescaped(text: string): string {
  return text.includes('_x') ? text.replace(/_x([0-9A-Fa-f]{4})_/g, (_, hex: string) => String.fromCharCode(Number.parseInt(hex, 16))) : text;
}

async function readSharedStrings(parts: PackageParts, name: string): Promise<string[]> {
  const strings: string[] = [];
  let chars = 0;
  let own = '';
  let isText = false;
  let phonetic = 0;
  await readXml('The list of texts', parts.open(name), {
    open(element) {
      if (element === 'si') own = '';
      else if (element === 'rPh') phonetic += 1;
      isText = element === 't' && phonetic === 0;
    },
    text(text) {
      if (!isText) return;
      own += text;
      if (own.length > MAX_TEXT_CHARS) throw new BrokenContainer('The list of texts is damaged: one of them is too long for a cell.', SAVE_ANEW);
    },
    close(element) {
      isText = false;
      if (element === 'rPh') phonetic -= 1;
      if (element !== 'si') return;
      const plain = unescaped(own);
      chars += plain.length;
      if (chars > MAX_SHARED_CHARS || strings.length >= MAX_SHARED) throw new BrokenContainer('The workbook holds more text than can be kept.', 'Export the sheets as CSV and import those.');
      strings.push(plain);
    },
  }, Infinity);
  return strings;
}

async function readKinds(parts: PackageParts, name: string): Promise<NumberKind[]> {
  const codes = new Map<number, string>();
  const ids: number[] = [];
  let isInCells = false;
  await readXml('The list of formats', parts.open(name), {
    open(element, attributes) {
      if (element === 'cellXfs') isInCells = true;
      else if (element === 'numFmt') codes.set(Number(attributes['numFmtId']), attributes['formatCode'] ?? '');
      else if (element === 'xf' && isInCells) ids.push(Number(attributes['numFmtId'] ?? 0));
    },
    text() {
      // Formats are attributes only.
    },
    close(element) {
      if (element === 'cellXfs') isInCells = false;
    },
  });
  return ids.map((id) => numberKind(id, codes.get(id)));
}
