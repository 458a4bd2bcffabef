import { spawn } from 'node:child_process';
import { mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { unzipSync } from 'fflate';
import { getDocumentProxy } from 'unpdf';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import { expect, test, type Locator, type Page } from '@playwright/test';
import { ReviewPage } from './pages/review-page.ts';
import { WindowPage } from './pages/window-page.ts';
import { startWorkstation } from './workstation.ts';

const HEADLESS = fileURLToPath(new URL('../../dist/headless/main.js', import.meta.url));

/** Returns the text of each page of a PDF, as another program reads it. */
async function pagesOf(bytes: Uint8Array): Promise<string[]> {
  const pdf = await getDocumentProxy(bytes.slice());
  const pages: string[] = [];
  for (let i = 1; i <= pdf.numPages; i++) pages.push((await (await pdf.getPage(i)).getTextContent()).items.map((one) => ('str' in one ? one.str : '')).join(' ').replace(/\s+/g, ' '));
  return pages;
}

/** Keeps everything that is asked about, once nothing can be saved before. */
async function keepAll(dialog: Locator, save: string): Promise<void> {
  await expect(dialog.getByText(/(answer is|answers are) missing/)).toBeVisible({ timeout: 60_000 });
  await expect(dialog.getByRole('button', { name: save })).toBeDisabled();
  for (const keep of await dialog.getByRole('button', { name: /^Keep all/ }).all()) await keep.click();
  await expect(dialog.getByText('Everything is answered.')).toBeVisible({ timeout: 60_000 });
}

async function saved(page: Page, dialog: Locator, label: string, fileName: string): Promise<Uint8Array> {
  const [download] = await Promise.all([page.waitForEvent('download', { timeout: 60_000 }), dialog.getByRole('button', { name: label }).click()]);
  expect(download.suggestedFilename()).toBe(fileName);
  return new Uint8Array(await readFile(await download.path()));
}

test('a report, sheets of several cases and a bundle are made, read through, saved and read by another program; the bundle is made anew from the library byte by byte', async ({ page }) => {
  test.setTimeout(240_000);
  const top = await mkdtemp(join(tmpdir(), 'lacuna-reports-'));
  const dataFolder = join(top, 'own');
  await mkdir(dataFolder);
  const workstation = await startWorkstation({ dataFolder });
  const frame = new WindowPage(page);
  await frame.open(workstation.address);
  await expect(page.locator('.counts')).toContainText(/19 cases/, { timeout: 60_000 });
  const slow = { timeout: 90_000 };
  await page.setViewportSize({ width: 1280, height: 800 });
  const call = <T>(method: string, args: unknown): Promise<T> =>
    page.evaluate(async ([name, body]) => {
      const answer = await fetch(`/api/${String(name)}`, { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) });
      return ((await answer.json()) as { value: never }).value;
    }, [method, args] as const);
  const cases = await call<readonly { readonly caseKey: string; readonly caseId: string }[]>('listCases', null);
  const read = cases.find(({ caseId }) => caseId === 'K06-finger-and-ear')!;
  const { sites } = await call<CaseAnalysis>('analyze', { caseKey: read.caseKey, parameters: await call<object>('getParameters', null) });
  // Two readers, both blinded, of one mind on every loss of one case.
  for (const by of ['A. Reader', 'B. Reader']) for (const { dropoutId } of sites.flatMap(({ dropouts }) => dropouts)) await call('giveVerdict', { caseKey: read.caseKey, dropoutId, by, blinded: true, judgement: { verdict: 'motion', certainty: 'probable', note: '', correctedBounds: null } });

  // Who makes the report does not read blinded.
  await new ReviewPage(page).readAs('C. Lead');
  await page.getByLabel(/^Blinded:/).uncheck();
  await frame.goTo('Meeting');
  await page.getByRole('navigation', { name: 'Parts of the meeting' }).getByRole('button', { name: 'Reports' }).click();
  const part = (name: string): Locator => page.getByRole('region', { name });
  const department = part('Department report');
  const refused = { ok: false, failure: { code: 'disk-full', message: 'No room is left on the disk.', remedy: 'Make room, then try again.' } };

  // Refused by the host: said, with its remedy, and tried again.
  await page.route('**/api/departmentReport', (route) => route.fulfill({ json: refused }), { times: 1 });
  await expect(department.getByLabel(/^what readers said/)).toBeChecked();
  await department.getByRole('button', { name: 'Make the report' }).click();
  await expect(department.getByText(/No room is left on the disk/)).toBeVisible();
  await expect(department.getByText('Make room, then try again.')).toBeVisible();
  expect(await frame.seriousFindings(), 'failed').toEqual([]);
  await department.getByRole('button', { name: 'Make the report' }).click();
  await expect(department.getByRole('article')).toBeVisible(slow);
  await expect(department.getByRole('table', { name: 'How far two readers agree, both blinded' })).toContainText('100');
  await department.getByRole('button', { name: 'Check the words and save…' }).click();
  const report = page.getByRole('dialog', { name: 'Department report: what would go out' });
  await keepAll(report, 'Save as PDF');
  const pages = await pagesOf(await saved(page, report, 'Save as PDF', 'department-report.pdf'));
  expect(pages[0]).toContain('Department report');
  const html = new TextDecoder().decode(await saved(page, report, 'Save as HTML', 'department-report.html'));
  for (const words of ['What readers said', 'How far two readers agree, both blinded', 'Cases worth discussing']) expect([words, pages.join(' ').includes(words), html.includes(words)]).toEqual([words, true, true]);
  expect(`${pages.join(' ')}${html}`).not.toContain('A. Reader');
  await report.getByRole('button', { name: 'Close' }).click();

  // Sheets of three cases: picked by their name, one file, a page each.
  const sheets = part('Case sheets');
  await page.getByRole('navigation', { name: 'Parts of this page' }).getByRole('button', { name: 'Case sheets' }).click();
  await expect(sheets.getByRole('heading', { name: 'Case sheets' })).toBeFocused();
  await expect(sheets.getByRole('button', { name: 'Make the sheets' })).toBeDisabled();
  await sheets.getByLabel('Find by name or date').fill('k0');
  for (const caseId of ['K02-arms-tucked', 'K06-finger-and-ear']) await sheets.getByLabel(new RegExp(`^${caseId}`)).check();
  await sheets.getByLabel('Find by name or date').fill('prone');
  await sheets.getByRole('button', { name: 'Pick the one listed' }).click();
  await expect(sheets.getByRole('checkbox', { checked: true })).toHaveCount(3);
  await sheets.getByRole('button', { name: 'Make 3 sheets' }).click();
  await expect(sheets.getByText('3 sheets, PDF of 3 pages: one of each case.')).toBeVisible(slow);
  await sheets.getByRole('button', { name: 'Next sheet' }).click();
  await expect(sheets.getByRole('article', { name: /K06-finger-and-ear/ })).toContainText('confirmed: motion, probable (2 readers)');
  for (const theme of ['Light', 'Dark'] as const) {
    await frame.choose(theme);
    expect(await frame.seriousFindings(), `all parts made, ${theme}`).toEqual([]);
  }
  await sheets.getByRole('button', { name: 'Check the words and save…' }).click();
  const leaving = page.getByRole('dialog', { name: 'Case sheets: what would go out' });
  await expect(leaving.getByRole('region', { name: 'Numbers and codes' })).toContainText('K17', slow);
  // What is left out is in neither form, whichever sheet it stood on.
  await leaving.getByRole('button', { name: 'Leave all out: Dates, months and days' }).click();
  await expect(leaving.getByRole('button', { name: /Take back the decision/ }).first()).toBeVisible(slow);
  await keepAll(leaving, 'Save as PDF');
  const sheetPages = await pagesOf(await saved(page, leaving, 'Save as PDF', 'case-sheets.pdf'));
  const sheetHtml = new TextDecoder().decode(await saved(page, leaving, 'Save as HTML', 'case-sheets.html'));
  expect(sheetPages).toHaveLength(3);
  for (const [i, caseId] of ['K02-arms-tucked', 'K06-finger-and-ear', 'K17-prone-infusion'].entries()) expect([caseId, sheetPages[i]?.includes(caseId), sheetHtml.includes(caseId)]).toEqual([caseId, true, true]);
  expect(`${sheetPages.join(' ')}${sheetHtml}`).not.toMatch(/2031-\d\d/);
  await leaving.getByRole('button', { name: 'Close' }).click();

  // What readers said goes with the bundle, under codes.
  const bundle = part('Research bundle');
  await expect(bundle.getByLabel(/^what readers said/)).toBeChecked();
  await bundle.getByRole('button', { name: 'Make the bundle' }).click();
  await bundle.getByRole('button', { name: 'Check the words and save…' }).click(slow);
  const all = page.getByRole('dialog', { name: 'Research bundle: what would go out' });
  await keepAll(all, 'Save as .zip');
  const files = unzipSync(await saved(page, all, 'Save as .zip', 'research-bundle.zip'));
  await all.getByRole('button', { name: 'Close' }).click();
  expect(new TextDecoder().decode(files['tables/reviews.csv'])).toMatch(/,reader-[0-9a-z]{10},/);
  for (const [name, bytes] of Object.entries(files)) expect([name, Buffer.from(bytes).includes('A. Reader')]).toEqual([name, false]);

  // An action comes from the report that is shown.
  await department.getByRole('button', { name: 'Write an action…' }).click();
  await expect(page.getByText(/^Written from the report .*Department report/)).toBeVisible();

  // The window gives the library up, and the bundle is made anew from it.
  await page.close();
  await workstation.stop();
  const folder = join(top, 'bundle');
  for (const [name, bytes] of Object.entries(files)) {
    await mkdir(dirname(join(folder, name)), { recursive: true });
    await writeFile(join(folder, name), bytes);
  }
  expect(await verified(folder, join(dataFolder, 'lacuna', 'library'))).toMatchObject({ made_anew: true, problems: [], exit_code: 0 });
  await rm(top, { recursive: true, force: true });
});

function verified(folder: string, library: string): Promise<unknown> {
  const child = spawn(process.execPath, [HEADLESS, 'bundle', 'verify', folder, '--library', library, '--json'], { stdio: ['ignore', 'pipe', 'ignore'] });
  let out = '';
  child.stdout.on('data', (chunk: Buffer) => {
    out += chunk.toString();
  });
  return new Promise((resolve, reject) => {
    child.on('error', reject);
    child.on('close', () => resolve(JSON.parse(out)));
  });
}
