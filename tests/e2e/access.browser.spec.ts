import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from './fixtures.ts';

const SAMPLES = fileURLToPath(new URL('../../sample-cases/cases/', import.meta.url));

/* WCAG 2.x rules as axe-core checks them; nothing serious or critical may stand on any screen in either theme. */
for (const theme of ['Light', 'Dark'] as const) {
  test(`every screen in the ${theme.toLowerCase()} theme passes axe`, async ({ frame, library, openCase, imports, page }) => {
    test.setTimeout(300_000);
    await frame.choose(theme);
    expect(await frame.seriousFindings(), 'library').toEqual([]);
    await library.openCase('K06-finger-and-ear');
    await openCase.waitFor('K06-finger-and-ear');
    expect(await frame.seriousFindings(), 'case').toEqual([]);
    await page.keyboard.press('n');
    await expect(openCase.chosen).toHaveCount(1);
    expect(await frame.seriousFindings(), 'case with a dropout chosen').toEqual([]);
    // In the light theme the tests of the case screen look at these as they come to them.
    if (theme === 'Dark') {
      await page.locator('.tl-stage').focus();
      for (const key of ['e', 'm', 'Alt+ArrowRight', 'm']) await page.keyboard.press(key);
      await expect(page.getByRole('region', { name: 'Measured' })).toBeVisible();
      await page.locator('summary', { hasText: 'Lanes' }).click();
      expect(await frame.seriousFindings(), 'measured, lanes, what cannot be excluded').toEqual([]);
      await page.locator('summary', { hasText: 'Lanes' }).click();
      await page.locator('.tl-stage').focus();
      await page.keyboard.press('k');
      await page.getByRole('textbox', { name: /^Note of mark 1/ }).fill('Who saw it?');
      await page.locator('.tl-stage').press('t');
      expect(await frame.seriousFindings(), 'marks, table of the timeline').toEqual([]);
      await page.locator('.tl-tables').press('t');
      await page.locator('.tl-stage').press('e');
      await page.getByRole('button', { name: 'Remove mark 1' }).click();
      await page.getByRole('button', { name: 'Compare' }).click();
      await page.locator('summary', { hasText: 'Both in a table' }).click();
      expect(await frame.seriousFindings(), 'compare').toEqual([]);
      await page.getByRole('button', { name: 'Back to the timeline' }).click();
      await page.getByRole('button', { name: 'Case sheet' }).click();
      await expect(page.getByRole('dialog')).toContainText('cannot be excluded');
      expect(await frame.seriousFindings(), 'case sheet').toEqual([]);
      await page.keyboard.press('Escape');
    }
    for (const list of ['Low SpO2', 'Restored', 'Exposures', 'Blind', 'Record gaps'] as const) {
      await openCase.showList(list);
      expect(await frame.seriousFindings(), list).toEqual([]);
    }
    await page.getByRole('button', { name: /^Record: / }).click();
    expect(await frame.seriousFindings(), 'record').toEqual([]);
    await page.keyboard.press('Escape');
    await frame.goTo('Definitions');
    expect(await frame.seriousFindings(), 'definitions').toEqual([]);
    await frame.goTo('About');
    expect(await frame.seriousFindings(), 'about').toEqual([]);
    await page.keyboard.press('?');
    expect(await frame.seriousFindings(), 'keys').toEqual([]);
    await page.keyboard.press('Escape');
    await frame.goTo('Import');
    expect(await frame.seriousFindings(), 'import').toEqual([]);
    await imports.chooseFolder(join(SAMPLES, 'K12-messy-file'));
    await imports.waitForReport();
    expect(await frame.seriousFindings(), 'import report').toEqual([]);
  });
}

test('the window is worked without a pointer', async ({ frame, library, openCase, page }) => {
  await page.keyboard.press('i');
  await expect(page.getByRole('heading', { level: 1, name: 'Import' })).toBeVisible();
  await page.keyboard.press('l');
  await library.rows.first().focus();
  await page.keyboard.press('Enter');
  await expect(openCase.timeline).toBeVisible();
  await page.keyboard.press('?');
  await expect(page.getByRole('dialog', { name: 'Keys' })).toBeVisible();
  await expect(page.getByRole('dialog').getByRole('button', { name: 'Close' })).toBeFocused();
  await page.keyboard.press('d');
  await expect(page.getByRole('dialog', { name: 'Keys' })).toBeVisible();
  await page.keyboard.press('Escape');
  await page.keyboard.press('d');
  await expect(page.getByRole('heading', { level: 1, name: 'Definitions' })).toBeVisible();
  await expect(frame.places.getByRole('button', { name: 'Definitions' })).toHaveAttribute('aria-current', 'page');
});

test('keys typed into a field are text, not commands', async ({ library, page }) => {
  await page.getByLabel('Name or file holds').pressSequentially('indicate');
  await expect(page.getByRole('heading', { level: 1, name: 'Library' })).toBeVisible();
  await expect(library.counts).toContainText('0 of 19 cases');
});

test('the theme is kept for the next window', async ({ frame, workstation, context }) => {
  await frame.choose('Dark');
  const second = await context.newPage();
  await second.goto(workstation.address);
  await expect(second.locator('html')).toHaveAttribute('data-theme', 'dark');
});
