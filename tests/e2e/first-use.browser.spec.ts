import { fileURLToPath } from 'node:url';
import { join } from 'node:path';
import { expect, test } from './fixtures.ts';
import { textFile } from './pages/import-page.ts';

const SAMPLES = fileURLToPath(new URL('../../sample-cases/cases/', import.meta.url));

test('from the first start to a report: library, case, next dropout, values at the cursor, import, bad file', async ({ frame, library, openCase, imports, page }) => {
  await expect(library.rows).toHaveCount(19);
  await library.rows.filter({ hasText: 'K04-abrupt-disconnection' }).focus();
  await page.keyboard.press('Enter');
  await openCase.waitFor('K04-abrupt-disconnection');
  await page.keyboard.press('n');
  await expect(openCase.chosen).toHaveCount(1);
  const values = openCase.timeline.locator('.tl-entry-value');
  await expect.poll(async () => (await values.allInnerTexts()).some((text) => /\d/.test(text))).toBe(true);
  await frame.goTo('Import');
  await imports.chooseFolder(join(SAMPLES, 'K14-head-down-forehead'));
  await imports.waitForReport();
  await expect(page.getByText('1 case is in the library already; nothing was stored a second time.')).toBeVisible();
  await page.getByRole('button', { name: 'Done, import something else' }).click();
  await imports.chooseFiles([textFile('letter.txt', 'Dear colleague,\nplease find no numbers in this letter.\n')]);
  await imports.waitForReport();
  await expect(imports.headline).toContainText('1 file could not be read');
  await expect((await imports.file('letter.txt')).locator('.notice')).toContainText('letter.txt could not be read.');
});
