/*
 * Sheets and the department report of the sample cases: their words and tables against committed ones (regression), and against what is
 * true of the cases by construction (derived). PDFs are read with another program's code (unpdf, which is pdf.js), not with the library
 * that wrote them.
 */
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { getDocumentProxy } from 'unpdf';
import { beforeAll, describe, expect, test } from 'vitest';
import { CAUTIONS } from '../../core/model/cautions.ts';
import type { ReportDocument, ReportWishes, Shape } from '../../core/model/report-document.ts';
import { DEFAULT_HEADER } from '../../core/model/report-document.ts';
import { reportDocumentSchema } from '../../core/model/report-document-schema.ts';
import { contextOf } from '../../core/report/case-context.ts';
import { caseFigure } from '../../core/report/document/case-figure.ts';
import { caseSheet, SHEET_ROOMS } from '../../core/report/document/case-sheet.ts';
import { printClock } from '../../core/report/document/case-words.ts';
import { roughWidth } from '../../core/report/document/plot-frame.ts';
import { reportHtml, sheetsHtml } from '../../core/report/document/report-html.ts';
import { readReportFonts, type ReportFonts } from '../../core/worker/report-fonts.ts';
import { reportPdf, reportsPdf } from '../../core/worker/report-pdf.ts';
import { writeCaseSheet, writeReport } from '../../core/worker/write-report.ts';
import { readSamples, readTruth, type ReadSamples } from './read-samples.ts';
import { sampleDepartmentReport } from './sample-department-report.ts';

const FOLDER = join(import.meta.dirname, 'reports');
const CASE_IDS = Object.keys(readTruth()).sort();
const WISHES: ReportWishes = { header: DEFAULT_HEADER, paper: 'A4', relativeTime: false };

let samples: ReadSamples;
let fonts: ReportFonts;
beforeAll(async () => {
  [samples, fonts] = await Promise.all([readSamples(), readReportFonts()]);
}, 120_000);

function analyzed(caseId: string) {
  const record = samples.outcome.cases.find((one) => one.caseId === caseId);
  const analysis = samples.analyses.get(caseId);
  if (record === undefined || analysis === undefined) throw new Error(`no case ${caseId}`);
  return { record, analysis };
}

/** A document in words: pictures by what is said of them. */
function wordsOf({ title, subtitle, header, footer, blocks }: ReportDocument): string {
  const lines = [`# ${title}: ${subtitle}`, header, footer, ''];
  for (const block of blocks) {
    if (block.kind === 'heading') lines.push(`${'#'.repeat(block.level)} ${block.text}`);
    else if (block.kind === 'paragraph') lines.push(block.text);
    else if (block.kind === 'list') lines.push(...block.items.map((text) => `- ${text}`));
    else if (block.kind === 'facts') lines.push(...block.rows.map(([name, text]) => `${name}: ${text}`));
    else if (block.kind === 'figure') lines.push(`[${block.figure.alternative}]`, block.figure.caption);
    const table = block.kind === 'table' ? block.table : block.kind === 'figure' ? block.table : null;
    if (table !== null) lines.push(`| ${table.caption}`, ...[table.columns.map(({ heading }) => heading), ...table.rows].map((cells) => `| ${cells.join(' | ')}`), ...(table.note === '' ? [] : [table.note]));
    lines.push('');
  }
  return `${lines.join('\n').trimEnd()}\n`;
}

function expectAsCommitted(name: string, text: string): void {
  const path = join(FOLDER, `${name}.txt`);
  if (process.env['UPDATE_GOLDEN'] === '1' || !existsSync(path)) writeFileSync(path, text);
  expect(text).toBe(readFileSync(path, 'utf8'));
}

/** Text and structure of a PDF, as another program reads it. */
async function readPdf(bytes: Uint8Array) {
  const pdf = await getDocumentProxy(bytes.slice());
  const pages: string[] = [];
  const roles: string[] = [];
  const alternatives: string[] = [];
  for (let i = 1; i <= pdf.numPages; i++) {
    const page = await pdf.getPage(i);
    pages.push((await page.getTextContent()).items.map((one) => ('str' in one ? one.str : '')).join(' ').replaceAll('\u00a0', ' ').replace(/\s+/g, ' '));
    type Node = { readonly role?: string; readonly alt?: string; readonly children?: readonly Node[] };
    const walk = (node: Node): void => {
      if (node.role !== undefined) roles.push(node.role);
      if (node.alt !== undefined) alternatives.push(node.alt);
      for (const child of node.children ?? []) walk(child);
    };
    walk((await page.getStructTree()) as Node);
  }
  const { info } = await pdf.getMetadata();
  return { pages, roles, alternatives, info: info as Record<string, unknown>, isMarked: (await pdf.getMarkInfo())?.Marked === true };
}

describe.each(CASE_IDS)('the sheet of %s', (caseId) => {
  test('says what it said before', () => {
    const document = caseSheet(analyzed(caseId), WISHES);
    expectAsCommitted(caseId, wordsOf(document));
    // As it goes to the page: checked by its schema, and unchanged by it.
    expect(reportDocumentSchema.parse(JSON.parse(JSON.stringify(document)))).toEqual(JSON.parse(JSON.stringify(document)));
  });

  test('lists every loss that is true of the case, or says how many it leaves out', () => {
    const kept = Object.values(readTruth()[caseId]?.sites ?? {}).reduce((sum, { losses }) => sum + losses.filter((loss) => loss.kept).length, 0);
    const table = caseSheet(analyzed(caseId), WISHES).blocks.find((block) => block.kind === 'table' && /losses|^Losses/.test(block.table.caption));
    if (table?.kind !== 'table') expect(kept).toBe(0);
    else expect(table.table.caption).toBe(table.table.rows.length === kept ? `Losses (${kept})` : `The ${table.table.rows.length} longest of ${kept} losses, in order of time`);
  });

  test('lets no end of a bar run through its words', () => {
    const one = analyzed(caseId);
    const { shapes } = caseFigure(contextOf(one), printClock(one.record.origin, false)).scene;
    for (const bar of shapes) {
      if (bar.kind !== 'box' || bar.fill !== 'faint') continue;
      for (const words of shapes) {
        if (words.kind !== 'text' || words.y < bar.y || words.y > bar.y + bar.height) continue;
        const width = roughWidth(words.text, words.size);
        const [from, to] = words.align === 'end' ? [words.x - width, words.x] : [words.x, words.x + width];
        for (const edge of [bar.x, bar.x + bar.width]) expect([words.text, from < edge && edge < to]).toEqual([words.text, false]);
      }
    }
  });

  test('draws no line over a loss, and every loss with its limits', () => {
    const one = analyzed(caseId);
    const { scene } = caseFigure(contextOf(one), printClock(one.record.origin, false));
    for (const site of one.analysis.sites) {
      const losses = site.dropouts.filter(({ firstGoodMs, bridgedMs }) => firstGoodMs !== null && bridgedMs === 0);
      const bands = scene.shapes.filter((shape): shape is Extract<Shape, { kind: 'box' }> => shape.kind === 'box' && shape.fill === 'lossFaint' && shape.edge === null);
      expect(bands.length).toBeGreaterThanOrEqual(losses.length);
      for (const band of bands) {
        // Lines of the same lane: those that lie at the height of the band and are not the bound, the frame or the steps.
        const lines = scene.shapes.filter((shape): shape is Extract<Shape, { kind: 'line' }> => shape.kind === 'line' && shape.ink !== 'loss' && shape.ink !== 'rule' && shape.ink !== 'faint' && shape.points.every(([, y]) => y >= band.y && y <= band.y + band.height));
        const middle = band.x + band.width / 2;
        const over = lines.filter(({ points }) => points.some(([x], i) => i > 0 && (points[i - 1]?.[0] ?? 0) < middle && x > middle && (points[i - 1]?.[0] ?? 0) < band.x + 0.02 && x > band.x + band.width - 0.02));
        expect(over).toEqual([]);
      }
    }
  });

  test('is one page as PDF, on either paper, that another program can read, with its structure', async () => {
    for (const paper of ['A4', 'Letter'] as const) {
      const { pdf, document, notInFont } = await writeCaseSheet(analyzed(caseId), { ...WISHES, paper }, fonts);
      const read = await readPdf(pdf);
      expect(read.pages).toHaveLength(1);
      expect(notInFont).toBe('');
      expect(read.pages[0]).toContain(DEFAULT_HEADER);
      expect(read.info['Language']).toBe('en');
      expect(read.info['Title']).toBe(`Case sheet: ${document.subtitle}`);
      expect(read.isMarked).toBe(true);
      expect(read.roles).toEqual(expect.arrayContaining(['Document', 'H1', 'P', 'Figure', 'Table', 'TR', 'TH', 'TD', 'Caption']));
      expect(read.alternatives).toHaveLength(1);
      for (const { text } of CAUTIONS) expect(read.pages[0]).toContain(text);
      for (const block of document.blocks) if (block.kind === 'table') for (const cells of block.table.rows) expect(read.pages[0]?.replaceAll(' ', '')).toContain((cells[1] ?? '').replaceAll(' ', ''));
    }
  });
});

test('the same case gives the same bytes, with fonts in the file and no date of today', async () => {
  const one = analyzed('K06-finger-and-ear');
  const [a, b] = [await writeCaseSheet(one, WISHES, fonts), await writeCaseSheet(one, WISHES, await readReportFonts())];
  expect(Buffer.compare(a.pdf, b.pdf)).toBe(0);
  expect(a.html).toBe(b.html);
  const raw = Buffer.from(a.pdf).toString('latin1');
  expect(raw.match(/\/FontFile2/g)?.length).toBe(2);
  expect(raw).not.toContain(`D:${new Date().getFullYear()}`);
});

test('sheets of all cases in one file: each on one page of its own, with the words of the sheet alone, in either form', async () => {
  const alone = CASE_IDS.map((caseId) => caseSheet(analyzed(caseId), WISHES, SHEET_ROOMS[3]));
  const { bytes, pages, pagesOf } = await reportsPdf('Case sheets', alone, fonts);
  const read = await readPdf(bytes);
  expect([pages, read.pages.length]).toEqual([CASE_IDS.length, CASE_IDS.length]);
  expect(pagesOf).toEqual(CASE_IDS.map(() => 1));
  const html = sheetsHtml({ title: 'Case sheets', documents: alone });
  const sections = html.split('<section class="sheet"').slice(1);
  for (const [i, document] of alone.entries()) {
    const own = await readPdf((await reportPdf(document, fonts)).bytes);
    expect(read.pages[i]?.replace(`page ${i + 1} of ${pages}`, 'page 1 of 1')).toBe(own.pages[0]);
    // The same parts in the same order, whichever file they stand in.
    const body = reportHtml(document).split('</p>\n').slice(2).join('</p>\n').split('</main>')[0]?.trim() ?? '';
    expect(sections[i]).toContain(body);
    expect(html).toContain(`<a href="#sheet-${i + 1}">`);
  }
}, 60_000);

test('in relative time no date and no clock of the record is left', async () => {
  for (const caseId of CASE_IDS) {
    const { html, pdf } = await writeCaseSheet(analyzed(caseId), { ...WISHES, relativeTime: true }, fonts);
    const { pages } = await readPdf(pdf);
    for (const text of [html.replace(/<style>.*<\/style>/su, ''), pages.join(' ')]) {
      expect(text).not.toMatch(/20[0-9]{2}-[0-9]{2}|UTC|Europe/);
      expect(text).toContain('Times with + count from the first row of the case');
    }
  }
});

test('a name that the font does not have is shown by signs, counted, and whole in the HTML', async () => {
  const one = analyzed('K10-without-loss');
  const written = await writeCaseSheet({ ...one, record: { ...one.record, caseId: 'Fall 漢字 Ж ü' } }, WISHES, fonts);
  expect(written.notInFont).toBe('字漢');
  expect(written.html).toContain('Fall 漢字 Ж ü');
  expect((await readPdf(written.pdf)).pages[0]).toContain('Fall □□ Ж ü');
});

test('the department report says what it said before, and its PDF holds every table', async () => {
  const document = sampleDepartmentReport(samples);
  expectAsCommitted('department-report', wordsOf(document));
  const { pdf, pages } = await writeReport(document, fonts);
  const read = await readPdf(pdf);
  expect(read.pages).toHaveLength(pages);
  const all = read.pages.join(' ').replaceAll(' ', '');
  for (const block of document.blocks) {
    const table = block.kind === 'table' ? block.table : block.kind === 'figure' ? block.table : null;
    for (const cells of table?.rows ?? []) expect(all).toContain(cells.slice(0, 2).join('').replaceAll(' ', ''));
  }
  for (const page of read.pages) expect(page).toContain(DEFAULT_HEADER);
  expect(read.roles.filter((role) => role === 'Figure').length).toBe(document.blocks.filter(({ kind }) => kind === 'figure').length);
  // Derived: the cases and losses that are true by construction.
  const truth = Object.values(readTruth());
  const losses = truth.flatMap(({ sites }) => Object.values(sites)).reduce((sum, site) => sum + site.losses.filter((loss) => loss.kept).length, 0);
  expect(read.pages[0]).toContain(`In ${truth.length} cases`);
  expect(read.pages[0]).toContain(`information was lost ${losses} times`);
});

test('lanes of SpO2 of one case have one axis, so that sensors can be held against each other', () => {
  const one = analyzed('K06-finger-and-ear');
  const { shapes } = caseFigure(contextOf(one), printClock(one.record.origin, false)).scene;
  const written = (text: string): number => shapes.filter((shape) => shape.kind === 'text' && shape.align === 'end' && shape.text === text).length;
  // The ear lobe lost less: by itself its axis would begin at 70.
  expect([written('60'), written('70'), written('100')]).toEqual([2, 2, 3]);
});

test('the note of a table goes with its last row to the next page, however many rows there are', async () => {
  const note = 'Worked out as in docs/methods/dropout.md.';
  for (let count = 50; count < 66; count++) {
    const rows = Array.from({ length: count }, (_, i) => [`row ${i + 1}`, '1 min']);
    const document: ReportDocument = { title: 'Rows', subtitle: 'many', language: 'en', header: '', footer: '', paper: 'A4', isDense: false, blocks: [{ kind: 'table', table: { caption: 'Rows', columns: [{ heading: 'Row', align: 'start' }, { heading: 'Length', align: 'end' }], rows, note } }] };
    const { pages } = await readPdf((await reportPdf(document, fonts)).bytes);
    const last = pages.find((text) => text.includes(note)) ?? '';
    expect([count, last.includes(`row ${count} `)]).toEqual([count, true]);
  }
});
