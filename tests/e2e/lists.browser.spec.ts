import { readFileSync } from 'node:fs';
import { expect, test } from './fixtures.ts';

const textOf = async (download: { path(): Promise<string> }): Promise<string> => readFileSync(await download.path(), 'utf8');

test('a list of cases: what the library lacks, a doubtful match that a person accepts, the table', async ({ frame, library, page }) => {
  // The sample cases come in at the first start.
  await expect(library.row('K17-prone-infusion')).toBeVisible({ timeout: 60_000 });
  await frame.goTo('Import');
  await page.getByRole('navigation', { name: 'Parts of the import' }).getByRole('button', { name: 'Case list' }).click();
  await page.getByTestId('case-list-input').setInputFiles({
    name: 'theatre book.csv', mimeType: 'text/csv',
    buffer: Buffer.from('Case;Room\nK01-fade-after-bolus;1\nk2 arms tucked;2\nK99-never-exported;3\nK01-fade-after-bolus;1\n;4\n'),
  });
  await expect(page.locator('.case-list-counts')).toContainText('5 rows read: 4 accepted, 1 rejected.');
  await expect(page.locator('.case-list-counts')).toContainText('1 row fits doubtfully and waits for your decision.');
  const rows = page.getByRole('group', { name: /^Rows of the list/ }).locator('tbody tr');
  await expect(rows).toHaveCount(1);
  await expect(rows.first()).toContainText('the identifier is written otherwise: letter case, blanks and marks, leading zeros');
  await rows.first().getByRole('button', { name: 'Row 3 is case K02-arms-tucked' }).press('Enter');
  await expect(page.getByText('No row of the list is in this state.')).toBeVisible();
  await page.getByLabel('Show').selectOption('every row');
  await expect(rows).toHaveCount(5);
  await expect(rows.nth(1)).toContainText('accepted by a person');
  await expect(rows.nth(2)).toContainText('no case of the library has this identifier');
  expect(await frame.seriousFindings()).toEqual([]);

  const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Save as CSV' }).click()]);
  const csv = await textOf(download);
  expect(csv).toMatch(/\r\n3,k2 arms tucked,,matched,"accepted by a person[^\r]*",K02-arms-tucked,[^\r]*,K02-arms-tucked,accepted\r\n/);
  expect(csv).toContain(',,,not in the list,,K11-bypass,2031-05-19,,');

  await page.getByRole('button', { name: 'Another list…' }).click();
  await page.getByTestId('case-list-input').setInputFiles({ name: 'empty.csv', mimeType: 'text/csv', buffer: Buffer.from('') });
  await expect(page.getByRole('alert')).toContainText('0 bytes');
  await expect(page.getByRole('alert')).toContainText('What to do: Save the list as CSV or as a workbook');
});

test('the next study is planned from the library, and a protocol fixes it', async ({ frame, page }) => {
  await page.keyboard.press('o');
  await page.getByRole('navigation', { name: 'Parts of the cohort' }).getByRole('button', { name: 'Next study' }).click();
  await page.getByRole('radio', { name: /^Parallel/ }).check({ force: true });
  await page.getByLabel('First site').selectOption('finger');
  await page.getByLabel('Second site', { exact: true }).selectOption('ear lobe');
  await page.getByLabel('Spread of the second site').selectOption('that of the first site');
  await page.getByLabel('Simulated studies').fill('300');
  await page.getByRole('button', { name: 'Work it out' }).click();
  await expect(page.locator('.study-answer').first()).toContainText(/To find a share of time lost at the ear lobe of 0\.5\stimes that at the finger, with a power of 80\s%, about [\d,]+\spatients per group are needed/);
  await expect(page.getByText('What is asked was changed since')).toHaveCount(0);
  await expect(page.getByText('The second site has the spread of the first: nothing of its own is in this plan.')).toBeVisible();
  await page.getByRole('button', { name: 'Show as a table' }).click();
  await expect(page.getByRole('table').filter({ hasText: 'Intervals that held the truth' }).locator('tbody tr')).toHaveCount(12);
  expect(await frame.seriousFindings()).toEqual([]);

  await page.getByRole('tab', { name: 'Protocols' }).click();
  await page.getByRole('button', { name: 'Write a protocol…' }).click();
  await expect(page.getByRole('button', { name: 'Fix it' })).toBeDisabled();
  await page.getByLabel('Title').fill('Ear against finger');
  await page.getByLabel('Question').fill('Is less lost at the ear lobe?');
  await page.getByLabel('Cases to be included').fill('All long operations.');
  await page.getByLabel('Analysis', { exact: true }).fill('Ratio of the totals.');
  expect(await frame.seriousFindings()).toEqual([]);
  await page.getByRole('button', { name: 'Fix it' }).click();
  const row = page.getByRole('row', { name: /Ear against finger/ });
  await expect(row).toContainText('fits');
  const [download] = await Promise.all([page.waitForEvent('download'), row.getByRole('button', { name: /as Markdown/ }).click()]);
  expect(await textOf(download)).toContain('# Ear against finger\n');
  await page.getByRole('tab', { name: 'Sample size' }).click();
  await expect(page.getByText(/^Computed under the definition of protocol “Ear against finger”, version 1/)).toBeVisible();
});
