import { mkdtemp, mkdir, writeFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from './fixtures.ts';
import { textFile } from './pages/import-page.ts';

const SAMPLES = fileURLToPath(new URL('../../sample-cases/cases/', import.meta.url));

/** Returns a wide table of `seconds` rows, dates written as given, with a loss in its middle. */
function table(date: string, seconds = 240): string {
  const rows = Array.from({ length: seconds }, (_, i) => {
    const clock = `08:${String(Math.floor(i / 60)).padStart(2, '0')}:${String(i % 60).padStart(2, '0')}`;
    return `${date} ${clock},${i >= 100 && i < 160 ? '---' : '98'},${70 + (i % 5)}`;
  });
  return ['Time,SpO2,HR', ...rows].join('\n');
}

test('a folder is imported, its report adds up, and the case opens', async ({ frame, imports, openCase, page }) => {
  await frame.goTo('Import');
  await imports.chooseFolder(join(SAMPLES, 'K12-messy-file'));
  await imports.waitForReport();
  await expect(imports.headline).toHaveText('1 file read into 1 case.');
  const section = await imports.file('K12-messy-file/export.csv');
  const sum = /([\d,]+) rows read = ([\d,]+) accepted \+ ([\d,]+) rejected/.exec(await section.locator('.file-sum').innerText());
  const [read, accepted, rejected] = [1, 2, 3].map((i) => Number((sum?.[i] ?? '').replaceAll(',', '')));
  expect(read).toBe(accepted! + rejected!);
  expect(rejected).toBeGreaterThan(0);
  await section.getByText(/rejected, first at line/).first().click();
  await expect(section.locator('.rejected-table code').first()).not.toBeEmpty();
  await page.getByRole('button', { name: 'Open K12-messy-file' }).click();
  await openCase.waitFor('K12-messy-file');
});

test('a bad file gets its message, and the others come in', async ({ frame, imports, library, page }) => {
  const folder = await mkdtemp(join(tmpdir(), 'lacuna-import-'));
  try {
    const chosen = join(folder, 'mixed-folder');
    await mkdir(chosen);
    await mkdir(join(chosen, 'good'));
    await writeFile(join(chosen, 'good', 'trends.csv'), table('2031-04-24', 200));
    await writeFile(join(chosen, 'picture.csv'), Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0, 0, 0, 13, 0x49, 0x48, 0x44, 0x52, 0, 1, 2, 3]));
    await frame.goTo('Import');
    await imports.chooseFolder(chosen);
    await imports.waitForReport();
    await expect(imports.headline).toContainText('1 file could not be read');
    const section = await imports.file('mixed-folder/picture.csv');
    await expect(section.locator('.notice')).toContainText('picture.csv could not be read. The others are in.');
    await expect(section.locator('.notice')).toContainText('What to do:');
    await frame.goTo('Library');
    await library.remove('good');
    await expect(page.getByRole('button', { name: 'good', exact: true })).toHaveCount(0);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
});

test('files that are dropped are imported', async ({ frame, imports, library, page }) => {
  await frame.goTo('Import');
  const dropped = await page.evaluateHandle((text) => {
    const transfer = new DataTransfer();
    transfer.items.add(new File([text], 'dropped.csv', { type: 'text/csv' }));
    return transfer;
  }, table('2031-04-23'));
  await page.getByTestId('drop-zone').dispatchEvent('drop', { dataTransfer: dropped });
  await imports.waitForReport();
  await expect(imports.headline).toHaveText('1 file read into 1 case.');
  await imports.file('dropped.csv');
  await frame.goTo('Library');
  const [added] = (await library.names()).filter((name) => !/^K\d\d/.test(name));
  await library.remove(added ?? '');
});

test('a guess is overruled and the file read again', async ({ frame, imports, library, page }) => {
  await frame.goTo('Import');
  await imports.chooseFiles([textFile('ambiguous.csv', table('03/04/2031'))]);
  await imports.waitForReport();
  const cases = page.locator('.import table.plain-table').first();
  await expect(cases).toContainText('3 Apr 2031');
  const section = await imports.file('ambiguous.csv');
  // The report scrolls in its place; the page around it does not.
  expect(await page.evaluate(() => document.documentElement.scrollHeight - window.innerHeight)).toBeLessThanOrEqual(0);
  const guess = section.locator('.guess').filter({ hasText: 'month' }).first();
  await guess.getByLabel('Read it as').selectOption({ index: 1 });
  await expect(page.getByText('1 overrule in force.')).toBeVisible();
  await imports.readAgain.click();
  await imports.waitForReport();
  await expect(cases).toContainText('4 Mar 2031');
  await expect(page.getByText('Read with 1 overrule of yours.')).toBeVisible();
  await frame.goTo('Library');
  const [added] = (await library.names()).filter((name) => !/^K\d\d/.test(name));
  await library.remove(added ?? '');
});

test('the clock of one file is set by hand, shown with the case, and taken back', async ({ frame, imports, library, openCase, page }) => {
  await frame.goTo('Import');
  await imports.chooseFiles([textFile('trends.csv', table('2031-04-23')), textFile('drugs.csv', 'time,drug,dose,unit\n2031-04-23 07:59:25,phenylephrine,100,mcg\n')]);
  await imports.waitForReport();
  const setClock = async (seconds: string): Promise<void> => {
    const section = await imports.file('drugs.csv');
    const clock = section.getByLabel('Clock of this file is behind by');
    if (!(await clock.isVisible())) await section.getByText('Say how this file is to be read').click();
    await clock.fill(seconds);
    await imports.readAgain.click();
    await imports.waitForReport();
  };
  await setClock('90');
  await expect((await imports.file('drugs.csv')).locator('.notes')).toContainText('taken as 90 s behind, 90 s were added to each of its times');
  await page.locator('.import table.plain-table').first().getByRole('button', { name: /^Open / }).click();
  await expect(openCase.dropouts).toHaveCount(1);
  await page.getByRole('button', { name: /^Record: / }).click();
  await expect(page.getByRole('dialog').locator('.sources li').filter({ hasText: 'drugs.csv' })).toContainText('clock taken as 1 min 30 s behind: 1 min 30 s added to its times');
  await expect(page.getByRole('dialog').locator('.sources li').filter({ hasText: 'trends.csv' })).not.toContainText('clock');
  await page.keyboard.press('Escape');
  await openCase.dropouts.first().click();
  await expect(page.locator('.details')).toContainText('phenylephrine 100 µg, 45 s before'); // given at 08:00:55 by the other clocks, lost from 08:01:40 on
  await frame.goTo('Import');
  await setClock('0');
  await expect((await imports.file('drugs.csv')).locator('.notes')).not.toContainText('set by hand');
  await frame.goTo('Library');
  const [added] = (await library.names()).filter((name) => !/^K\d\d/.test(name));
  await library.remove(added ?? '');
});

test('a column is given its site, and the case has that site', async ({ frame, imports, library, page }) => {
  await frame.goTo('Import');
  await imports.chooseFiles([textFile('site.csv', table('2031-04-23'))]);
  await imports.waitForReport();
  const section = await imports.file('site.csv');
  await section.getByRole('button', { name: 'Change what SpO2 is read as' }).click();
  await section.getByLabel('Site of SpO2').selectOption('toe');
  await imports.readAgain.click();
  await imports.waitForReport();
  await expect(page.locator('.import table.plain-table').first()).toContainText('toe: every 1 s');
  await frame.goTo('Library');
  const [added] = (await library.names()).filter((name) => !/^K\d\d/.test(name));
  await expect(library.row(added ?? '')).toContainText('toe');
  await library.remove(added ?? '');
});

test('an import can be cancelled and leaves nothing behind', async ({ frame, imports, library, page }) => {
  await expect(library.rows).toHaveCount(19);
  await frame.goTo('Import');
  const rows = Array.from({ length: 400_000 }, (_, i) => `${i},98,${70 + (i % 5)}`).join('\n');
  await imports.chooseFiles(Array.from({ length: 4 }, (_, i) => textFile(`large-${i}.csv`, `Seconds,SpO2,HR\n${rows}`)));
  await page.getByRole('button', { name: 'Cancel' }).click();
  await expect(page.getByText('The import was cancelled.')).toBeVisible();
  await frame.goTo('Library');
  await expect(library.rows).toHaveCount(19);
});
