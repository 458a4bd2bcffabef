import AxeBuilder from '@axe-core/playwright';
import { expect, test } from './fixtures.ts';
import { textFile } from './pages/import-page.ts';

const rows = Array.from({ length: 60 }, (_, i) => `Zorvath Anna,48213377,2031-04-24 08:00:${String(i).padStart(2, '0')},${i > 20 && i < 40 ? '' : 97},70,${i === 5 ? 'Mr Zorvath restless' : ''}`);
const TABLE = ['Patient name,MRN,Time,SpO2,HR,Remark', ...rows].join('\n');

/* Source for the rules: WCAG 2.x as axe-core checks them. */
test('what identifies a person is kept out, said in the report, and kept only on purpose', async ({ frame, imports, library, page }) => {
  await frame.goTo('Import');
  await imports.chooseFiles([textFile('Zorvath_Anna.csv', TABLE)]);
  await imports.waitForReport();
  await expect(page.getByText('Zorvath', { exact: false })).toHaveCount(0);
  const section = page.locator('details.file-section').first();
  if (!(await section.evaluate((element) => element instanceof HTMLDetailsElement && element.open))) await section.locator('summary').first().click();
  const kept = section.locator('.kept-out');
  await expect(kept.locator('h3')).toContainText('Kept out: ');
  await expect(kept.getByRole('row', { name: /Patient name name left out 60 2/ })).toBeVisible();
  await expect(kept.getByRole('row', { name: /MRN record number replaced by a code 60 2/ })).toBeVisible();
  await expect(kept.getByRole('row', { name: /in texts name blanked in the text/ })).toBeVisible();
  const result = await new AxeBuilder({ page }).analyze();
  expect(result.violations.filter((violation) => violation.impact === 'serious' || violation.impact === 'critical').map((violation) => violation.id)).toEqual([]);
  await kept.getByLabel('Keep MRN or leave it out').selectOption('keep');
  await imports.readAgain.click();
  await imports.waitForReport();
  const again = page.locator('details.file-section').first();
  if (!(await again.evaluate((element) => element instanceof HTMLDetailsElement && element.open))) await again.locator('summary').first().click();
  await expect(again.locator('.kept-out').getByRole('row', { name: /MRN record number kept/ })).toBeVisible();
  // The library is shared with the tests after this one.
  await frame.goTo('Library');
  await library.remove('48213377');
});
