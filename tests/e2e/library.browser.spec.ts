import { readFileSync } from 'node:fs';
import { expect, test } from './fixtures.ts';
import { textFile } from './pages/import-page.ts';

/** What is true of the sample cases by construction (sample-cases/README.md). */
const EXPECTED = JSON.parse(readFileSync(new URL('../../sample-cases/expected.json', import.meta.url), 'utf8')) as {
  cases: Record<string, { case_id: string; interval_s: number[]; sites: Record<string, { losses: { start_s: number; end_s: number | null; kept: boolean }[] }> }>;
};

test('the first start shows every sample case with its dropouts', async ({ library }) => {
  const cases = Object.values(EXPECTED.cases);
  await expect(library.rows).toHaveCount(cases.length);
  for (const truth of cases) {
    const interval = Math.min(...truth.interval_s);
    /* A loss that falls between two rows leaves no trace in an export: rows stand at multiples of the interval. */
    const hasRow = (loss: { start_s: number; end_s: number | null }): boolean => Math.ceil(loss.start_s / interval) * interval < (loss.end_s ?? Number.POSITIVE_INFINITY);
    const kept = Object.values(truth.sites).flatMap((site) => site.losses.filter((loss) => loss.kept && hasRow(loss))).length;
    /* A second line, where there is one, counts doubtful as lost. */
    const cell = library.row(truth.case_id).locator('td').nth(5);
    await expect.poll(async () => (await cell.innerText()).split('\n')[0], { message: truth.case_id }).toBe(String(kept));
  }
});

test('the table sorts by lost time, date and name, and says so', async ({ library }) => {
  await expect(library.header('Time lost')).toHaveAttribute('aria-sort', 'descending');
  expect((await library.names())[0]).toBe('K11-bypass');
  await library.sortBy('Time lost');
  await expect(library.header('Time lost')).toHaveAttribute('aria-sort', 'ascending');
  expect((await library.names()).at(-1)).toBe('K11-bypass');
  await library.sortBy('Case');
  await library.sortBy('Case');
  await expect(library.header('Case')).toHaveAttribute('aria-sort', 'ascending');
  await expect(library.header('Time lost')).toHaveAttribute('aria-sort', 'none');
  const names = await library.names();
  expect(names).toEqual([...names].sort());
});

test('the filters narrow the table and tell how many are left', async ({ library, page }) => {
  await page.getByLabel('Site').selectOption('nasal ala');
  await expect(library.counts).toContainText('2 of 19 cases');
  expect((await library.names()).sort()).toEqual(['K05-move-to-nasal-ala', 'K17-prone-infusion']);
  await page.getByLabel('Lost at least, min').fill('9');
  expect(await library.names()).toEqual(['K17-prone-infusion']);
  await page.getByLabel('Name or file holds').fill('zzz');
  await expect(page.getByRole('heading', { name: 'No case passes this filter' })).toBeVisible();
  await page.getByRole('button', { name: 'Show all' }).click();
  await expect(library.counts).toContainText('19 cases');
  await page.getByLabel('Lost at least, min').fill('lots');
  await expect(page.getByText('a number of minutes is needed.')).toBeVisible();
});

test('the arrow keys walk the rows and Enter opens one', async ({ library, openCase, page }) => {
  await library.rows.first().focus();
  await page.keyboard.press('ArrowDown');
  await page.keyboard.press('ArrowDown');
  const third = (await library.names())[2] ?? '';
  await expect(library.rows.nth(2)).toBeFocused();
  await page.keyboard.press('Enter');
  await openCase.waitFor(third);
});

test('a case is removed only after a question', async ({ frame, library, imports, page }) => {
  await frame.goTo('Import');
  await imports.chooseFiles([textFile('removable.csv', ['Time,SpO2 finger,Heart rate', ...Array.from({ length: 60 }, (_, i) => `2031-09-01 08:00:${String(i).padStart(2, '0')},98,70`)].join('\n'))]);
  await imports.waitForReport();
  await frame.goTo('Library');
  await expect(library.rows).toHaveCount(20);
  const [added] = (await library.names()).filter((name) => !/^K\d\d/.test(name));
  await page.getByRole('button', { name: `Remove ${added} from the library` }).click();
  await page.keyboard.press('Escape');
  await expect(page.getByRole('dialog')).toHaveCount(0);
  await expect(library.rows).toHaveCount(20);
  await library.remove(added ?? '');
  await expect(library.rows).toHaveCount(19);
  await expect(frame.messages).toContainText('was removed from the library');
});
