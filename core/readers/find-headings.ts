import { findQuantity } from '../terms/find-quantity.ts';
import { findSite } from '../terms/find-site.ts';
import { roleOfHeading } from './heading-words.ts';
import { kindOfCell, type SampleRow } from './sample-table.ts';

/** What is longer than 400 letters is no heading; cut off there, with one more to tell it by, it fills no report. */
const LONGEST_HEADING = 401;

/** Where the headings of a table stand and what they say. */
export interface HeadingBlock {
  /** Index in the sample rows of the first row of data. */
  readonly firstDataIndex: number;
  /** Physical lines of the headings, of the row of units, and of what stands before them. */
  readonly headingLines: readonly number[];
  readonly unitLine: number | null;
  readonly preambleLines: readonly number[];
  /** One entry per column, '' where the file names none. */
  readonly headings: readonly string[];
  readonly units: readonly string[];
}

const UNIT_CELL = /^[[(]?\s*(?:%|‰|\/min|1\/min|min-1|min\^-1|bpm|b\.?p\.?m\.?|mm\s?\[?hg\]?|kpa|cmh2o|°\s?[cf]|deg\.? ?[cf]|cel|[cf]|s|sec|ms|min|h|hh:mm(?::ss)?|yyyy.*|dd[./-]mm.*|mm\/dd.*|l\/min|ml|ml\/h|mg|mcg|ug|µg|μg|iu|-|unit|none|index|ratio|fraction|a\.?u\.?|breaths\/min|\/minute|beats\/min|vol%|text|date|time|utc|local)\s*[\])]?$/i;

/** Returns whether a heading cell is one that this program can place: a quantity, a site or a role. */
function isKnownHeading(text: string): boolean {
  return findQuantity(text) !== null || roleOfHeading(text) !== null;
}

function shareOfText(row: SampleRow): number {
  let filled = 0;
  let text = 0;
  for (const cell of row.cells) {
    const kind = kindOfCell(cell);
    if (kind === 'empty') continue;
    filled += 1;
    if (kind === 'text') text += 1;
  }
  return filled === 0 ? 0 : text / filled;
}

function looksLikeData(row: SampleRow): boolean {
  let numbers = 0;
  let filled = 0;
  for (const cell of row.cells) {
    const kind = kindOfCell(cell);
    if (kind === 'empty') continue;
    filled += 1;
    if (kind === 'stamp' || kind === 'date' || kind === 'clock') return true;
    if (kind === 'number') numbers += 1;
  }
  return filled > 0 && numbers / filled >= 0.3 && numbers >= 1;
}

const NO_ROW: SampleRow = { line: 0, cells: [] };

/** Returns whether a row holds a date or a clock time, as headings never do. */
function isStamped(row: SampleRow): boolean {
  return row.cells.some((cell) => {
    const kind = kindOfCell(cell);
    return kind === 'stamp' || kind === 'date' || kind === 'clock';
  });
}

function knownShare(row: SampleRow): number {
  let filled = 0;
  let known = 0;
  for (const cell of row.cells) {
    if (cell.trim() === '') continue;
    filled += 1;
    if (isKnownHeading(cell)) known += 1;
  }
  return filled === 0 ? 0 : known / filled;
}

function isUnitRow(row: SampleRow): boolean {
  let filled = 0;
  let units = 0;
  for (const cell of row.cells) {
    const text = cell.trim();
    if (text === '') continue;
    filled += 1;
    if (UNIT_CELL.test(text)) units += 1;
  }
  return filled > 0 && units / filled >= 0.6;
}

/** Returns whether a row above the headings names groups of them: every filled cell is a site or a quantity. */
function isGroupRow(row: SampleRow): boolean {
  let filled = 0;
  let known = 0;
  for (const cell of row.cells) {
    const text = cell.trim();
    if (text === '') continue;
    filled += 1;
    if (findSite(text) !== null || findQuantity(text) !== null || /^(?:monitor|patient|vital signs?|vitals?|time|zeit|heure|date|datum|sensor \w+|oximeter \w*)$/i.test(text)) known += 1;
  }
  return filled > 0 && known === filled;
}

/**
 * Returns where the headings stand in the first rows of a table, null when there are none (the first full row is data already).
 * Lines of other width before them are preamble; a row of units may follow them; a row of group names may stand above.
 * `leastCells`: a row of fewer is no row of the table; only lists of cases may have one column.
 */
export function findHeadings(rows: readonly SampleRow[], width: number, leastCells: 1 | 2 = 2): HeadingBlock | null {
  const isWide = (row: SampleRow): boolean => row.cells.length >= Math.max(leastCells, Math.ceil(width * 0.5));
  const limit = Math.min(rows.length, 200);
  let firstData = -1;
  // In a long table a row may hold little but names that are known: after a row of headings any number makes it data.
  let hasHeadings = false;
  for (let i = 0; i < limit; i += 1) {
    const row = rows[i];
    if (row === undefined || !isWide(row)) continue;
    if (row.cells.length < width * 0.8 && width > 4) continue;
    const isNumbered = row.cells.some((cell) => kindOfCell(cell) === 'number');
    const known = knownShare(row);
    if (isStamped(row) || (hasHeadings && isNumbered) || (looksLikeData(row) && known < 0.5)) {
      firstData = i;
      break;
    }
    if (!isNumbered && known >= 0.5) hasHeadings = true;
  }
  let headingAt = -1;
  if (firstData === -1) {
    // No numbers or times anywhere: a list of texts. The first full row is taken as headings if it names a role.
    headingAt = rows.findIndex((row) => isWide(row) && row.cells.length === width && knownShare(row) > 0);
    if (headingAt === -1) return null;
    firstData = headingAt + 1;
  } else {
    for (let i = firstData - 1; i >= 0; i -= 1) {
      const row = rows[i];
      if (row === undefined) break;
      if (!isWide(row)) continue;
      if (isUnitRow(row) && (knownShare(row) < 0.8 || rows.slice(0, i).some((above) => isWide(above) && !isUnitRow(above) && knownShare(above) >= 0.5))) continue;
      if (shareOfText(row) >= 0.5 || knownShare(row) >= 0.5) {
        headingAt = i;
        break;
      }
    }
    if (headingAt === -1) return null;
    // The first rows of a list may hold neither number nor date, and look like headings until one above them is known.
    const named = leastCells === 1 && knownShare(rows[headingAt] ?? NO_ROW) === 0 ? rows.findIndex((row) => isWide(row) && row.cells.length === width && knownShare(row) > 0) : -1;
    if (named !== -1 && named < headingAt) {
      headingAt = named;
      firstData = named + 1;
    }
  }
  const heading = rows[headingAt];
  if (heading === undefined) return null;
  const unitRow = rows.slice(headingAt + 1, firstData).find((row) => isUnitRow(row)) ?? null;
  const headingLines = [heading.line];
  let headings = heading.cells.map((cell) => cell.slice(0, LONGEST_HEADING).replace(/^\ufeff/, '').replace(/\s+/g, ' ').trim());
  const above = rows[headingAt - 1];
  if (above !== undefined && above.cells.length >= Math.min(width, headings.length) && above.cells.filter((c) => c.trim() !== '').length >= 2 && isGroupRow(above)) {
    headingLines.unshift(above.line);
    let group = '';
    headings = headings.map((text, i) => {
      const own = (above.cells[i] ?? '').trim();
      if (own !== '') group = own;
      if (group === '' || group.toLowerCase() === text.toLowerCase()) return text;
      return text === '' ? group : `${group} ${text}`;
    });
  }
  // Columns without a heading count as columns only when most rows have them; otherwise a longer row is a fault of that row.
  const longer = rows.slice(firstData).filter((row) => row.cells.length >= width).length;
  const columns = width > headings.length && longer > (rows.length - firstData) * 0.6 ? width : headings.length;
  const units: string[] = [];
  for (let i = 0; i < columns; i += 1) units.push((unitRow?.cells[i] ?? '').replace(/^[[(]|[\])]$/g, '').trim());
  while (headings.length < columns) headings.push('');
  const used = new Set([...headingLines, ...(unitRow === null ? [] : [unitRow.line])]);
  const preambleLines = rows.slice(0, firstData).map((row) => row.line).filter((line) => !used.has(line));
  return { firstDataIndex: firstData, headingLines, unitLine: unitRow?.line ?? null, preambleLines, headings, units };
}
