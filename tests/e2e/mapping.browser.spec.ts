import { readFile } from 'node:fs/promises';
import { expect, test } from './fixtures.ts';
import { textFile } from './pages/import-page.ts';
import { MappingPage } from './pages/mapping-page.ts';

/** Returns a table whose headings say nothing, with a loss in its middle and a filler and a word that nobody knows. */
function table(first: number, length = 240): string {
  const rows = Array.from({ length }, (_, i) => {
    const clock = `08:${String(Math.floor(i / 60)).padStart(2, '0')}:${String(i % 60).padStart(2, '0')}`;
    return `${clock};${i >= first && i < first + 60 ? '-?-' : '97'};${70 + (i % 5)};${i === 10 ? 'zorblaxin 5 mg' : ''}`;
  });
  return ['Stunde;Kanal 7;Kanal 8;Bemerkung', ...rows].join('\n');
}

test('a file that is not understood is settled on its own rows, saved as a mapping, and the next of its shape is offered it', async ({ frame, imports, library, openCase, page }) => {
  test.setTimeout(180_000);
  const mapping = new MappingPage(page);
  await frame.goTo('Import');
  await imports.chooseFiles([textFile('saal.csv', table(100))]);
  await imports.waitForReport();
  await expect(page.getByText('1 file Lacuna is not sure of.')).toBeVisible();
  await page.getByRole('button', { name: 'saal.csv', exact: true }).click();
  await mapping.waitFor('saal.csv');

  // The rows change at once.
  await mapping.page.getByRole('button', { name: /^Kanal 7/ }).click();
  await page.getByLabel('What it is').selectOption({ label: 'SpO2' });
  await page.getByLabel('Site of the sensor').selectOption('ear lobe');
  await expect(page.getByRole('group', { name: /^What it becomes/ }).getByRole('columnheader', { name: 'SpO2, ear lobe, %' })).toBeVisible();
  await mapping.settled();
  await expect(mapping.right.nth(1)).toContainText('08:00:00');
  await expect(mapping.right.nth(1)).toContainText('97');
  await expect(mapping.left.nth(1)).toContainText('97');
  await expect(page.locator('.mapping-state')).toContainText('1 thing said by you');

  // Each change is taken back, and all of them.
  await page.keyboard.press('Control+z');
  await expect(page.getByRole('columnheader', { name: 'SpO2, %' })).toBeVisible();
  await page.keyboard.press('Control+Shift+Z');
  await expect(page.getByRole('columnheader', { name: 'SpO2, ear lobe, %' })).toBeVisible();
  await page.getByRole('button', { name: 'Back to what Lacuna found' }).click();
  await expect(page.getByRole('columnheader', { name: /^SpO2/ })).toHaveCount(0);
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(page.getByRole('columnheader', { name: 'SpO2, ear lobe, %' })).toBeVisible();

  // What the file holds that nobody knows.
  await page.getByRole('button', { name: /^Add -\?- to: Cells that mean/ }).click();
  await mapping.choosePart(/^Phrases/);
  await page.getByLabel('zorblaxin means').selectOption('drug');
  await page.getByLabel('Drug that zorblaxin is').fill('ephedrine');
  await expect(mapping.right.filter({ hasText: 'ephedrine, 5 mg' })).toHaveCount(1);
  await mapping.choosePart('The file');
  await page.getByLabel('A stored value is').selectOption({ label: 'the value of one instant' });
  await mapping.choosePart('What is kept');
  await expect(page.getByRole('tabpanel')).toContainText('Kanal 7: SpO2 at the ear lobe, %');
  await mapping.settled();

  await page.getByRole('button', { name: 'Save as a mapping…' }).click();
  await page.getByRole('dialog').getByLabel('Name', { exact: true }).fill('saal export');
  await page.getByRole('dialog').getByRole('button', { name: 'Save' }).click();
  await expect(page.getByText('Saved as the mapping “saal export”.')).toBeVisible();
  await mapping.readAgain.click();
  await imports.waitForReport();
  await expect(page.locator('.import table.plain-table').first()).toContainText('ear lobe: every 1 s');
  await expect((await imports.file('saal.csv')).locator('.said')).toContainText('“zorblaxin” means the drug ephedrine');
  await page.getByRole('button', { name: /^Open / }).click();
  await openCase.waitFor('saal');
  await expect(openCase.dropouts).toHaveCount(1);

  // The next file of that shape.
  await frame.goTo('Import');
  await page.getByRole('button', { name: 'Done, import something else' }).click();
  await imports.chooseFiles([textFile('other.csv', table(40))]);
  await imports.waitForReport();
  await expect(page.getByText('The saved mapping “saal export” fits 1 of these files.')).toBeVisible();
  await page.getByRole('button', { name: 'Read it with “saal export”' }).click();
  await imports.waitForReport();
  await expect((await imports.file('other.csv')).locator('.file-sum')).toContainText('Read as the saved mapping “saal export” says.');
  await expect(page.locator('.import table.plain-table').first()).toContainText('ear lobe: every 1 s');
  await expect(page.getByText('The saved mapping “saal export” fits')).toHaveCount(0);
  await page.getByRole('button', { name: 'Done, import something else' }).click();

  // It leaves and comes back as a file, and goes under another name.
  const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Write to a file: saal export' }).click()]);
  expect(download.suggestedFilename()).toBe('saal-export.json');
  const text = await readFile(await download.path(), 'utf8');
  expect(JSON.parse(text)).toMatchObject({ schema: 'lacuna-mapping/1', name: 'saal export', files: [{ match: { headings: ['Stunde', 'Kanal 7', 'Kanal 8', 'Bemerkung'] }, reading: { valueMaking: 'snapshot' } }] });
  await page.getByRole('button', { name: 'Rename saal export' }).click();
  await page.getByRole('dialog').getByLabel('New name').fill('hall export');
  await page.getByRole('dialog').getByRole('button', { name: 'Rename' }).click();
  await expect(page.getByRole('rowheader', { name: 'hall export' })).toBeVisible();
  await page.getByTestId('mapping-input').setInputFiles(textFile('saal-export.json', text));
  await expect(page.getByRole('rowheader', { name: 'saal export' })).toBeVisible();
  await page.getByTestId('mapping-input').setInputFiles(textFile('wrong.json', text.replace('"ear lobe"', '"nose"')));
  await expect(page.getByText(/wrong\.json: In the mapping file, "files\.0\.reading\.columns\.Kanal 7\.site" does not fit/)).toBeVisible();
  for (const name of ['saal export', 'hall export']) {
    await page.getByRole('button', { name: `Remove ${name}` }).click();
    await page.getByRole('dialog').getByRole('button', { name: 'Remove' }).click();
    await expect(page.getByRole('rowheader', { name })).toHaveCount(0);
  }
  await frame.goTo('Library');
  for (const name of (await library.names()).filter((own) => !/^K\d\d/.test(own))) await library.remove(name);
});

test('a rejected row is looked at among its neighbours', async ({ frame, imports, library, page }) => {
  const mapping = new MappingPage(page);
  await frame.goTo('Import');
  const rows = Array.from({ length: 900 }, (_, i) => `${i === 700 ? 'nonsense' : i},97,70`);
  await imports.chooseFiles([textFile('far.csv', ['Seconds,SpO2,HR', ...rows].join('\n'))]);
  await imports.waitForReport();
  await (await imports.file('far.csv')).getByText(/rejected, first at line 702/).click();
  await page.getByRole('button', { name: 'Settle how line 702 is read' }).click();
  await mapping.waitFor('far.csv');
  const wanted = page.locator('.mapping-wanted');
  await expect(wanted.first()).toBeInViewport();
  await expect(wanted.first()).toContainText('nonsense');
  await expect(wanted.last()).toContainText('rejected: time not readable');
  await page.getByRole('button', { name: 'Back to the report' }).click();
  await expect(page.getByRole('heading', { level: 1, name: 'Import report' })).toBeVisible();
  await frame.goTo('Library');
  for (const name of (await library.names()).filter((own) => !/^K\d\d/.test(own))) await library.remove(name);
});

test('the screen is worked without a pointer, and passes axe in both themes', async ({ frame, imports, library, page }) => {
  test.setTimeout(240_000);
  const mapping = new MappingPage(page);
  await frame.goTo('Import');
  await imports.chooseFiles([textFile('saal.csv', table(5, 20))]);
  await imports.waitForReport();
  await page.getByRole('button', { name: 'saal.csv', exact: true }).focus();
  await page.keyboard.press('Enter');
  await mapping.waitFor('saal.csv');
  await expect(page.getByRole('heading', { level: 1, name: 'How this file is read' })).toBeFocused();
  // The column that is offered first stays in place once something is said of it, and so does the focus.
  const first = await page.getByLabel('Column', { exact: true }).inputValue();
  await page.getByLabel('What it is').focus();
  await page.keyboard.press('ArrowDown');
  await mapping.settled();
  await expect(page.getByLabel('Column', { exact: true })).toHaveValue(first);
  await expect(page.getByLabel('What it is')).toBeFocused();
  await page.keyboard.press('Control+z');
  await page.getByRole('button', { name: /^Stunde/ }).focus();
  await page.keyboard.press('ArrowRight');
  await expect(page.getByRole('button', { name: /^Kanal 7/ })).toBeFocused();
  await expect(page.getByLabel('Column', { exact: true })).toHaveValue('Kanal 7');
  await page.getByLabel('What it is').focus();
  await page.keyboard.type('SpO2');
  await expect(page.getByRole('columnheader', { name: 'SpO2, %' })).toBeVisible();
  await mapping.settled();
  for (const [theme, part] of [['Light', 'A column'], ['Light', /^Phrases/], ['Dark', 'The file'], ['Dark', 'What is kept']] as const) {
    await frame.choose(theme);
    await mapping.choosePart(part);
    expect(await frame.seriousFindings(), `${theme}, ${String(part)}`).toEqual([]);
  }
  await page.getByRole('button', { name: 'Save as a mapping…' }).click();
  expect(await frame.seriousFindings(), 'saving').toEqual([]);
  await page.keyboard.press('Escape');
  await page.getByRole('button', { name: 'Back to the report' }).click();
  await page.getByRole('dialog').getByRole('button', { name: 'Leave' }).click();
  await expect(page.getByRole('heading', { level: 1, name: 'Import report' })).toBeVisible();
  expect(await frame.seriousFindings(), 'report with files to look at').toEqual([]);
  await frame.choose('System');
  await frame.goTo('Library');
  for (const name of (await library.names()).filter((own) => !/^K\d\d/.test(own))) await library.remove(name);
});
