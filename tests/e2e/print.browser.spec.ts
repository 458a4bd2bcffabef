/**
 * The window on paper. PDFs are made by the browser and read with another program's code (unpdf, which is pdf.js); sizes of sheets are
 * those of ISO 216 and of Letter in points.
 */
import { inflateSync } from 'node:zlib';
import type { Page } from '@playwright/test';
import { getDocumentProxy } from 'unpdf';
import { expect, test } from './fixtures.ts';

interface Sheet {
  /** All of its words without spaces: a ligature comes as a piece of its own. */
  readonly words: string;
  /** What stands beyond an edge. */
  readonly beyond: readonly string[];
}

interface Printed {
  readonly sheets: readonly Sheet[];
  readonly bytes: Buffer;
}

function squeezed(words: string): string {
  return words.replace(/\s/g, '');
}

async function print(page: Page, size: { readonly format: 'A4' | 'Letter'; readonly landscape?: boolean }): Promise<Printed> {
  const bytes = await page.pdf(size);
  const pdf = await getDocumentProxy(new Uint8Array(bytes));
  const [shortPt, longPt] = size.format === 'A4' ? [595.3, 841.9] : [612, 792];
  const sheets: Sheet[] = [];
  for (let i = 1; i <= pdf.numPages; i++) {
    const one = await pdf.getPage(i);
    const [, , widthPt = 0, heightPt = 0] = one.view;
    // Chromium takes whole px for the sheet.
    expect(Math.abs(widthPt - (size.landscape === true ? longPt : shortPt))).toBeLessThan(1.5);
    const { items } = await one.getTextContent();
    const texts = items.flatMap((item) => ('str' in item && item.str.trim() !== '' ? [item] : []));
    sheets.push({
      words: squeezed(texts.map(({ str }) => str).join('')),
      beyond: texts.filter(({ transform, width }) => transform[4] < 0 || transform[4] + width > widthPt + 0.5 || transform[5] < 0 || transform[5] > heightPt).map(({ str }) => str),
    });
  }
  return { sheets, bytes };
}

/** Returns what the streams of a PDF say, those that are packed unpacked, and the objects around them. */
function drawnIn(bytes: Buffer): string {
  const text = bytes.toString('latin1');
  const streams = [...text.matchAll(/stream\r?\n/g)].map(({ index, 0: mark }) => {
    try {
      return inflateSync(bytes.subarray(index + mark.length, text.indexOf('endstream', index))).toString('latin1');
    } catch {
      return ''; // not packed, or a font
    }
  });
  return [text, ...streams].join('\n');
}

/** Returns how many straight pieces the curves of a PDF have. */
function linesIn(bytes: Buffer): number {
  return drawnIn(bytes).match(/ l\s/g)?.length ?? 0;
}

/** Expects on every sheet the text of local policy, the caution, its number, and the head of the table again; nothing beyond an edge. */
function expectFramed({ sheets }: Printed, head: RegExp): void {
  sheets.forEach(({ words, beyond }, i) => {
    expect(beyond).toEqual([]);
    expect(words).toContain(squeezed('Confidential – quality improvement – see local policy'));
    expect(words).toContain(squeezed('not for decisions about a patient now'));
    expect(words).toContain(`Page${i + 1}of${sheets.length}`);
    expect(words).toMatch(head);
  });
}

/** Says to the page what a printer says, and gives back what then hides a part of itself behind a scrollbar. */
async function onPaper(page: Page): Promise<string[]> {
  await page.emulateMedia({ media: 'print' });
  await page.evaluate(() => window.dispatchEvent(new Event('beforeprint')));
  return page.evaluate(() =>
    [...document.querySelectorAll<HTMLElement>('.window *')].flatMap((element) => {
      const { overflowX, overflowY, display } = getComputedStyle(element);
      const scrolls = [overflowX, overflowY].some((way) => way === 'auto' || way === 'scroll');
      const hides = element.scrollHeight > element.clientHeight + 2 || element.scrollWidth > element.clientWidth + 2;
      return display !== 'none' && element.clientHeight > 1 && scrolls && hides ? [element.className] : [];
    }),
  );
}

async function onScreen(page: Page): Promise<void> {
  await page.evaluate(() => window.dispatchEvent(new Event('afterprint')));
  await page.emulateMedia({ media: null });
}

test('a dark window on paper: whole, saying what it is, nothing cut off, losses to be seen, and nothing to press', async ({ frame, library, openCase, page }) => {
  test.setTimeout(180_000);
  await expect(library.rows).toHaveCount(19, { timeout: 60_000 });
  const names = await library.names();
  await frame.choose('Dark');

  const list = await print(page, { format: 'A4', landscape: true });
  expectFramed(list, /Lacuna\d+\.\d+\.\d+·.*Library.*Recorded.*Dropouts.*Timelost/);
  const listed = list.sheets.map(({ words }) => words).join('');
  for (const name of names) expect(listed).toContain(name);
  expect(listed).not.toMatch(/Importrecords|Nameorfileholds|Chooseall|Learnbydoing|Keys/);
  // A list that is filtered says by what.
  await page.getByLabel('Name or file holds').fill('K0');
  await expect(library.rows).toHaveCount(9);
  const filtered = (await print(page, { format: 'A4' })).sheets.map(({ words }) => words).join('');
  expect(filtered).toMatch(/Nameorfileholds:K09of19cases/);
  expect(filtered).not.toMatch(/Site:|Lostatleast|Showall/);
  await page.getByRole('button', { name: 'Show all' }).click();
  expect(await onPaper(page), 'library').toEqual([]);
  expect(await frame.seriousFindings(), 'library').toEqual([]);
  await onScreen(page);

  await library.openCase('K06-finger-and-ear');
  await openCase.waitFor('K06-finger-and-ear');
  await expect(page.locator('.tl-root')).toHaveAttribute('data-drawn', 'true');
  for (const [size, most] of [[{ format: 'A4' }, 1], [{ format: 'A4', landscape: true }, 2], [{ format: 'Letter' }, 2]] as const) {
    const { sheets, bytes } = await print(page, size);
    expect(sheets.length).toBeLessThanOrEqual(most);
    expect(sheets.flatMap(({ beyond }) => beyond)).toEqual([]);
    const [first] = sheets;
    // Lanes and axes by name and unit, instants of the axis, the signs in words; no half-empty sheet before the picture.
    for (const words of ['Case K06-finger-and-ear', 'SpO2', '%', 'Perfusion', 'log scale', '/min', 'mmHg', '13:00', 'metaraminol 0.5 mg', 'Signs.']) expect(first?.words).toContain(squeezed(words));
    const all = sheets.map(({ words }) => words).join('');
    expect(all).toContain('4min30s');
    expect(all).toContain('1min29s–1min31s');
    expect(all).not.toMatch(/‹Previous|Cannotbeexcluded|Collect…|Change…/);
    // Lines, not dots; the loss in the finger's own blue (#0062a0); and the lines laid over it let it through.
    const drawn = drawnIn(bytes);
    expect(/\/Subtype\s*\/Image/.test(drawn), 'has dots').toBe(false);
    expect(/\b0 \.384\d* \.627\d* rg/.test(drawn), 'shows the loss').toBe(true);
    expect(/\/BM\s*\/Multiply/.test(drawn), 'lets it through').toBe(true);
    // Nothing of the dark theme's ground (#1c242a).
    expect(/\.1098\d* \.1411\d* \.1647\d* rg/.test(drawn), 'is dark').toBe(false);
  }
  // A large window draws all of it larger; its lines come to the sheet all the same, also where no colour changes for it.
  const usual = linesIn((await print(page, { format: 'A4' })).bytes);
  await frame.choose('Light');
  await page.setViewportSize({ width: 2560, height: 1440 });
  await expect(page.locator('.tl-root')).toHaveAttribute('data-drawn', 'true');
  expect(linesIn((await print(page, { format: 'A4' })).bytes)).toBeGreaterThan(usual / 2);
  await page.setViewportSize({ width: 1280, height: 720 });
  await frame.choose('Dark');
  expect(await onPaper(page), 'case').toEqual([]);
  expect(await frame.seriousFindings(), 'case').toEqual([]);
  await onScreen(page);
  await expect(page.locator('html')).toHaveAttribute('data-theme', 'dark');

  // A dialog is printed by itself, the help while it is read.
  await page.getByRole('button', { name: /^Record: / }).click();
  const record = (await print(page, { format: 'A4' })).sheets.map(({ words }) => words).join('');
  expect(record).toMatch(/Lacuna.*TherecordofK06-finger-and-ear.*Channels.*SHA-256/);
  expect(record).not.toContain('Signs.');
  await page.keyboard.press('Escape');
  await page.keyboard.press('F1');
  await page.locator('.help-panel').getByRole('button', { name: 'Dropout', exact: true }).click();
  await expect(page.locator('.help-page').getByRole('heading', { name: 'Dropout', exact: true })).toBeVisible();
  await page.locator('.help-body').focus();
  const help = (await print(page, { format: 'A4' })).sheets.map(({ words }) => words).join('');
  expect(help).toContain('lastsamplewithinformation');
  expect(help).not.toContain('Signs.');
  await page.keyboard.press('Escape');

  // Sixty-three rows that scroll on the screen are all there.
  await page.keyboard.press('r');
  await page.getByLabel('Who reads?').fill('Ada');
  await page.keyboard.press('Enter');
  await page.getByRole('button', { name: 'Draw the queue' }).click();
  await expect(page.getByRole('grid', { name: 'Queue of dropouts' }).locator('tr[data-row]')).toHaveCount(63);
  const queue = await print(page, { format: 'Letter' });
  expect(queue.sheets.length).toBeGreaterThan(1);
  expectFramed(queue, /Lacuna\d+\.\d+\.\d+·.*Review.*Place.*Case.*Onset.*Timelost/);
  expect(queue.sheets.map(({ words }) => words).join('').match(/○notread/g)).toHaveLength(63);
  await frame.goTo('Cohort');
  await expect(page.getByRole('heading', { name: 'How often and how long are we blind?' })).toBeVisible();
  await expect(page.getByRole('figure', { name: 'Share of monitored time lost, by place' })).toBeVisible();
  const cohort = await print(page, { format: 'A4' });
  expect(cohort.sheets.flatMap(({ beyond }) => beyond)).toEqual([]);
  const figures = cohort.sheets.map(({ words }) => words).join('');
  expect(figures).not.toMatch(/SaveasSVG|mm\/dd\/yyyy|dd\/mm\/yyyy/);
  // Of the rows that wait behind a button, paper says how many it leaves out.
  expect(figures).toMatch(/Notonthissheet:\d+furtherrows/);
  expect(await onPaper(page), 'cohort').toEqual([]);
  expect(await frame.seriousFindings(), 'cohort').toEqual([]);
  await onScreen(page);

  // Definitions on trial are in what follows them, and in the head of nothing else.
  await frame.goTo('Definitions');
  await page.getByRole('textbox', { name: 'Shortest loss that counts' }).fill('45');
  expect((await print(page, { format: 'A4' })).sheets[0]?.words).toMatch(/Definition“[^”]*”:≥45s.*ontrial/);
  await frame.goTo('Library');
  expect((await print(page, { format: 'A4' })).sheets[0]?.words).toMatch(/Definition“default”:≥30s(?!.*≥45s)/);
});
