import { expect, test } from './fixtures.ts';
import { textFile } from './pages/import-page.ts';

/** Returns a wide table of four minutes with a loss from second 100 on. */
function table(lostS: number, extraRows = 0): string {
  const rows = Array.from({ length: 240 + extraRows }, (_, i) => {
    const clock = `08:${String(Math.floor(i / 60)).padStart(2, '0')}:${String(i % 60).padStart(2, '0')}`;
    return `2031-04-23 ${clock},${i >= 100 && i < 100 + lostS ? '---' : '98'},${70 + (i % 5)}`;
  });
  return ['Time,SpO2,HR', ...rows].join('\n');
}

test('the same file a second time doubles nothing and says where it is', async ({ frame, imports, library, page }) => {
  await frame.goTo('Import');
  await imports.chooseFiles([textFile('twice.csv', table(60))]);
  await imports.waitForReport();
  await page.getByRole('button', { name: 'Done, import something else' }).click();
  await imports.chooseFiles([textFile('under another name.csv', table(60))]);
  await imports.waitForReport();
  await expect(page.getByText('1 case is in the library already; nothing was stored a second time.')).toBeVisible();
  await expect(page.getByText('under another name (the library holds it as twice)')).toBeVisible();
  await frame.goTo('Library');
  expect((await library.names()).filter((name) => /twice|another/.test(name))).toEqual(['twice']);
  await library.remove('twice');
});

test('an updated export shows what changed before it replaces anything, and is decided by a person', async ({ frame, imports, library, page }) => {
  await frame.goTo('Import');
  await imports.chooseFiles([textFile('updated.csv', table(60))]);
  await imports.waitForReport();
  await page.getByRole('button', { name: 'Done, import something else' }).click();
  await imports.chooseFiles([textFile('updated.csv', table(90, 12))]);
  await imports.waitForReport();
  await expect(page.getByText('1 case is in the library under the same name with other content.')).toBeVisible();
  await page.getByRole('button', { name: 'Look and decide… updated', exact: true }).click();
  const dialog = page.getByRole('dialog');
  // 12 rows more in each channel; 30 values of SpO2 that are lost now; one dropout and one blind interval with other bounds.
  await expect(dialog.getByRole('row', { name: /^SpO2 / })).toContainText('240 − 0 + 12 = 252; 30 with other values');
  await expect(dialog.getByRole('row', { name: /^HR / })).toContainText('240 − 0 + 12 = 252');
  await expect(dialog).toContainText('lost 59 s – 1 min 1 s, mid 1 min');
  await expect(dialog).toContainText('lost 1 min 29 s – 1 min 31 s, mid 1 min 30 s');
  expect(await frame.seriousFindings()).toEqual([]);
  await dialog.getByLabel('Name of the new one, if both are kept').fill('updated');
  await expect(dialog.getByText('the library has a case of this name.')).toBeVisible();
  await dialog.getByRole('button', { name: 'Decide later' }).click();
  await page.getByRole('button', { name: 'Done, import something else' }).click();
  await expect(page.getByRole('dialog')).toContainText('If you leave, the library keeps the earlier one.');
  await page.getByRole('button', { name: 'Stay' }).click();

  await page.getByRole('button', { name: 'Look and decide… updated', exact: true }).click();
  await dialog.getByLabel('Name of the new one, if both are kept').fill('updated, second export');
  await dialog.getByRole('button', { name: 'Keep both' }).click();
  await expect(page.getByText('both kept, the new one as “updated, second export”')).toBeVisible();
  await page.getByRole('button', { name: 'Look again… updated', exact: true }).click();
  await dialog.getByRole('button', { name: 'Replace it' }).click();
  await expect(page.getByText('replaced by the new one')).toBeVisible();
  await frame.choose('Dark');
  expect(await frame.seriousFindings()).toEqual([]);
  await frame.choose('Light');
  await frame.goTo('Library');
  expect((await library.names()).filter((name) => name.startsWith('updated'))).toEqual(['updated']);
  await expect(library.row('updated')).toContainText('1 min 30 s');
  await library.remove('updated');
});
