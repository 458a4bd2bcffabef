import { strToU8, zipSync } from 'fflate';

/** A cell as it is to be stored. A bare number has the ordinary format; `serial` is a number formatted as the style says. */
export type SheetCell =
  | string
  | number
  | boolean
  | null
  | { readonly inline: string }
  | { readonly serial: number; readonly as: keyof typeof STYLES }
  | { readonly formula: string; readonly value?: string | number }
  | { readonly error: string }
  | { readonly raw: string };

export interface SheetSpec {
  readonly name: string;
  readonly state?: 'hidden' | 'veryHidden';
  /** null: the row is left out. */
  readonly rows: readonly (readonly SheetCell[] | null)[];
}

/** Numbers of cell styles in `styles.xml` below. */
const STYLES = { general: 0, date: 1, dateTime: 2, time: 3, elapsed: 4, percent: 5, ownDateTime: 6, ownPercent: 7 } as const;

const MAIN = 'http://schemas.openxmlformats.org/spreadsheetml/2006/main';
const RELATIONS = 'http://schemas.openxmlformats.org/officeDocument/2006/relationships';

function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;');
}

function letters(column: number): string {
  return column < 26 ? String.fromCharCode(65 + column) : letters(Math.floor(column / 26) - 1) + letters(column % 26);
}

/** Returns the parts of a workbook by name; tests damage them before `zipSync`. */
export function workbookParts(sheets: readonly SheetSpec[], { is1904 = false, prefix = '' }: { is1904?: boolean; prefix?: string } = {}): Record<string, Uint8Array> {
  const strings = new Map<string, number>();
  const p = prefix === '' ? '' : `${prefix}:`;
  const xmlns = prefix === '' ? `xmlns="${MAIN}"` : `xmlns:${prefix}="${MAIN}"`;
  const cellXml = (cell: SheetCell, reference: string): string => {
    const c = (attributes: string, body: string): string => `<${p}c r="${reference}"${attributes}>${body}</${p}c>`;
    if (cell === null) return '';
    if (typeof cell === 'number') return c('', `<${p}v>${cell}</${p}v>`);
    if (typeof cell === 'boolean') return c(' t="b"', `<${p}v>${cell ? 1 : 0}</${p}v>`);
    if (typeof cell === 'string') {
      if (!strings.has(cell)) strings.set(cell, strings.size);
      return c(' t="s"', `<${p}v>${strings.get(cell)}</${p}v>`);
    }
    if ('inline' in cell) return c(' t="inlineStr"', `<${p}is><${p}t xml:space="preserve">${escaped(cell.inline)}</${p}t></${p}is>`);
    if ('serial' in cell) return c(` s="${STYLES[cell.as]}"`, `<${p}v>${cell.serial}</${p}v>`);
    if ('error' in cell) return c(' t="e"', `<${p}v>${escaped(cell.error)}</${p}v>`);
    if ('raw' in cell) return cell.raw;
    const value = cell.value === undefined ? '' : `<${p}v>${escaped(String(cell.value))}</${p}v>`;
    return c(typeof cell.value === 'string' ? ' t="str"' : '', `<${p}f>${escaped(cell.formula)}</${p}f>${value}`);
  };
  const parts: Record<string, Uint8Array> = {};
  sheets.forEach((sheet, i) => {
    const rows = sheet.rows.map((row, r) => (row === null ? '' : `<${p}row r="${r + 1}">${row.map((cell, k) => cellXml(cell, `${letters(k)}${r + 1}`)).join('')}</${p}row>`));
    parts[`xl/worksheets/sheet${i + 1}.xml`] = strToU8(`<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<${p}worksheet ${xmlns}><${p}sheetData>${rows.join('')}</${p}sheetData></${p}worksheet>`);
  });
  const relation = (id: string, type: string, target: string): string => `<Relationship Id="${id}" Type="${RELATIONS}/${type}" Target="${target}"/>`;
  const list = (inner: string): Uint8Array => strToU8(`<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">${inner}</Relationships>`);
  parts['[Content_Types].xml'] = strToU8('<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>');
  parts['_rels/.rels'] = list(relation('rId1', 'officeDocument', 'xl/workbook.xml'));
  parts['xl/_rels/workbook.xml.rels'] = list(
    sheets.map((_, i) => relation(`rId${i + 1}`, 'worksheet', `worksheets/sheet${i + 1}.xml`)).join('') + relation('rIdS', 'sharedStrings', '/xl/sharedStrings.xml') + relation('rIdF', 'styles', 'styles.xml'),
  );
  parts['xl/workbook.xml'] = strToU8(
    `<?xml version="1.0"?><${p}workbook ${xmlns} xmlns:r="${RELATIONS}"><${p}workbookPr${is1904 ? ' date1904="1"' : ''}/><${p}sheets>${sheets
      .map((sheet, i) => `<${p}sheet name="${escaped(sheet.name)}" sheetId="${i + 1}"${sheet.state === undefined ? '' : ` state="${sheet.state}"`} r:id="rId${i + 1}"/>`)
      .join('')}</${p}sheets></${p}workbook>`,
  );
  parts['xl/sharedStrings.xml'] = strToU8(`<?xml version="1.0"?><${p}sst ${xmlns}>${[...strings.keys()].map((text) => `<${p}si><${p}t xml:space="preserve">${escaped(text)}</${p}t></${p}si>`).join('')}</${p}sst>`);
  const ids = [0, 14, 22, 20, 46, 9, 164, 165];
  parts['xl/styles.xml'] = strToU8(
    `<?xml version="1.0"?><${p}styleSheet ${xmlns}><${p}numFmts><${p}numFmt numFmtId="164" formatCode="dd/mm/yyyy\\ hh:mm:ss"/><${p}numFmt numFmtId="165" formatCode="0.0%"/></${p}numFmts><${p}cellStyleXfs><${p}xf numFmtId="14"/></${p}cellStyleXfs><${p}cellXfs>${ids.map((id) => `<${p}xf numFmtId="${id}"/>`).join('')}</${p}cellXfs></${p}styleSheet>`,
  );
  return parts;
}

/** Returns the bytes of a workbook. */
export function workbookBytes(sheets: readonly SheetSpec[], options: { is1904?: boolean; prefix?: string } = {}): Uint8Array {
  return zipSync(workbookParts(sheets, options));
}

/** Returns the number under which the 1900 date system stores a UTC wall time. */
export function serialOf(iso: string, is1904 = false): number {
  return Date.parse(`${iso}Z`) / 86_400_000 + (is1904 ? 24_107 : 25_569);
}
