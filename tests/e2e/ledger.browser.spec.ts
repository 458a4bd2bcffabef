import { expect, test } from './fixtures.ts';
import { textFile } from './pages/import-page.ts';

/** A table of four minutes in which every third row has no time of its own, only the one at which it was stored. */
const TABLE = [
  'Time,Stored,SpO2',
  ...Array.from({ length: 240 }, (_, i) => {
    const at = `2031-04-23 08:${String(Math.floor(i / 60)).padStart(2, '0')}:${String(i % 60).padStart(2, '0')}`;
    return `${i % 3 === 0 ? '' : at},${at},${i >= 100 && i < 160 ? '---' : '98'}`;
  }),
].join('\n');

test('an import is in the ledger with its rejected rows, which are taken in again with another mapping', async ({ frame, imports, library, page }) => {
  await frame.goTo('Import');
  await imports.chooseFiles([textFile('stamps.csv', TABLE)]);
  await imports.waitForReport();
  await page.getByRole('button', { name: 'Done, import something else' }).click();

  await page.getByRole('button', { name: 'Ledger' }).click();
  const line = page.locator('tr[data-import]').first();
  await expect(line).toContainText('stamps.csv');
  await expect(line).toContainText('complete');
  expect(await frame.seriousFindings()).toEqual([]);
  await line.getByRole('button', { name: /^Open the import of/ }).click();
  await expect(page.getByText('240 rows read = 160 accepted + 80 rejected;')).toBeVisible();
  await expect(page.getByText('the reasons below account for all 80: it adds up.')).toBeVisible();
  await page.getByText('80 rows: no time').click();
  await page.getByRole('button', { name: 'Show the rows of stamps.csv: no time' }).click();
  await expect(page.locator('.rejected-table code').first()).toHaveText(',2031-04-23 08:00:00,98');
  expect(await frame.seriousFindings()).toEqual([]);
  await frame.choose('Dark');
  expect(await frame.seriousFindings()).toEqual([]);
  await frame.choose('Light');

  // Another file is told apart by its content.
  await page.getByRole('button', { name: 'Correct the mapping and take them in again…' }).click();
  await page.getByTestId('again-files').setInputFiles([textFile('stamps.csv', TABLE.replace('98', '97'))]);
  await expect(page.getByText('no file has the same content as stamps.csv')).toBeVisible();

  await page.getByRole('button', { name: 'Ledger' }).click();
  await page.getByRole('button', { name: 'Correct the mapping and take them in again…' }).click();
  await page.getByTestId('again-files').setInputFiles([textFile('called otherwise now.csv', TABLE)]);
  await imports.waitForReport();
  await expect(page.getByText('1 file of an earlier import taken in again, as read then.')).toBeVisible();
  await expect(page.getByText(/stamps\.csv: already read on .* into case stamps\./)).toBeVisible();
  const section = await imports.file('stamps.csv');
  await section.getByRole('button', { name: 'Change what Time is read as' }).click();
  await section.getByLabel('Read Time as').selectOption({ label: 'leave it out' });
  await section.getByRole('button', { name: 'Change what Stored is read as' }).click();
  await section.getByLabel('Read Stored as').selectOption({ label: 'the time' });
  await imports.readAgain.click();
  await imports.waitForReport();
  await expect(section.locator('.file-sum')).toContainText('240 rows read = 240 accepted + 0 rejected');
  await page.getByRole('button', { name: 'Look and decide… stamps' }).click();
  await expect(page.getByRole('dialog').getByRole('row', { name: /^SpO2 / })).toContainText('160 − 0 + 80 = 240');
  await page.getByRole('dialog').getByRole('button', { name: 'Replace it' }).click();
  await expect(page.getByText('replaced by the new one')).toBeVisible();

  await page.getByRole('button', { name: 'Ledger' }).click();
  await page.getByRole('button', { name: 'Back to the list' }).click();
  await page.locator('tr[data-import]').first().getByRole('button', { name: /^Open the import of/ }).click();
  await expect(page.getByText('240 rows read = 240 accepted + 0 rejected;')).toBeVisible();
  await expect(page.getByRole('row', { name: /column “Time”/ })).toContainText('overruled: {"role":"ignore"} by hand');
  await expect(page.getByText('known with other content; the earlier one was replaced')).toBeVisible();
  await page.getByLabel('Reading shown').selectOption({ index: 0 });
  await expect(page.getByText('240 rows read = 160 accepted + 80 rejected;')).toBeVisible();
  await frame.goTo('Library');
  await library.remove('stamps');
});
