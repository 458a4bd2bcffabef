import { mkdtemp, mkdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { twoClockCase } from '../builders/two-clock-case.ts';
import { expect, test } from './fixtures.ts';

/** True time by which the record keeper's clock is ahead. */
const AHEAD_S = 250;

let folder = '';
test.beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-clocks-'));
  await mkdir(join(folder, 'two-clocks'));
  for (const [name, text] of Object.entries(twoClockCase(AHEAD_S))) await writeFile(join(folder, 'two-clocks', name), text);
});
test.afterAll(() => rm(folder, { recursive: true, force: true }));

test.beforeEach(async ({ frame, imports, openCase, page }) => {
  await frame.goTo('Import');
  await imports.chooseFolder(join(folder, 'two-clocks'));
  await imports.waitForReport();
  await page.getByRole('button', { name: 'Open two-clocks' }).click();
  await openCase.waitFor('two-clocks');
});

test.afterEach(async ({ frame, library }) => {
  await frame.page.keyboard.press('Escape');
  await frame.goTo('Library');
  await library.remove('two-clocks');
});

test('a proposal with its evidence is seen, tried, accepted, and taken back, all by key', async ({ frame, page }) => {
  const opener = page.getByRole('button', { name: /^Clocks: as the files have them/ });
  await opener.focus();
  await page.keyboard.press('Enter');
  const dialog = page.getByRole('dialog', { name: 'Clocks of two-clocks' });
  const rowOf = (name: string) => dialog.getByRole('table', { name: 'Files and their clocks' }).getByRole('row').filter({ has: page.getByRole('rowheader', { name: new RegExp(`^${name} `) }) });
  await expect(rowOf('keeper.csv')).toContainText('proposed');
  await expect(rowOf('keeper-drugs.csv')).toContainText('cannot be told');
  await expect(rowOf('oximeter.csv')).toContainText('the others are held against it');

  await rowOf('keeper.csv').getByRole('button').focus();
  await page.keyboard.press('Enter');
  const chosen = dialog.getByRole('region', { name: 'The clock of keeper.csv' });
  await expect(chosen.getByRole('heading', { name: 'keeper.csv' })).toBeFocused();
  const offset = Number(/Accept the proposal, −(\d+)\ss/.exec(await chosen.getByRole('button', { name: /^Accept the proposal/ }).innerText())?.[1]);
  expect(Math.abs(offset - AHEAD_S)).toBeLessThanOrEqual(12); // 7 s of the displays and half an interval
  await expect(chosen.getByRole('img', { name: /agreement at each clock offset/ })).toBeVisible();
  await chosen.getByText('The same as a table').first().click();
  expect(await chosen.getByRole('group', { name: 'Agreement at each offset' }).getByRole('row').count()).toBeGreaterThan(50);
  await expect(chosen.getByRole('table', { name: /^The course of/ }).first()).toContainText('Correlation there');
  for (const theme of ['Light', 'Dark']) {
    await page.evaluate((name) => document.documentElement.setAttribute('data-theme', name.toLowerCase()), theme);
    expect(await frame.seriousFindings(), `clocks, ${theme}`).toEqual([]);
  }

  await chosen.getByRole('button', { name: /^Accept the proposal/ }).focus();
  await page.keyboard.press('Enter');
  await expect(rowOf('keeper.csv')).toContainText('a proposal that was accepted, against oximeter.csv');
  await expect(rowOf('keeper.csv')).toContainText('agrees as it is');
  await expect(frame.messages).toContainText('The case was analysed anew');
  await chosen.getByRole('button', { name: 'Back to the file’s own clock' }).click();
  await expect(rowOf('keeper.csv')).toContainText('clock as the file has it');
  await expect(rowOf('keeper.csv')).toContainText('proposed');
  await page.keyboard.press('Escape');
  await expect(dialog).toHaveCount(0);
});

test('a clock set by hand moves the drugs of its file: the bolus comes to stand before the loss', async ({ openCase, page }) => {
  const links = async () => {
    await openCase.dropouts.first().click();
    return (await page.locator('.details').innerText()).replace(/\s+/g, ' ');
  };
  expect(await links()).not.toContain('min before, ');
  await page.getByRole('button', { name: /^Clocks:/ }).click();
  const dialog = page.getByRole('dialog', { name: 'Clocks of two-clocks' });
  await dialog.getByRole('button', { name: 'Look: clock of keeper-drugs.csv' }).click();
  await expect(dialog.getByRole('button', { name: /^Take −\d+ s, as for keeper.csv/ })).toBeVisible();
  await dialog.getByLabel('Seconds added to its times').fill('-250');
  await dialog.getByRole('button', { name: /^Show what −250 s would change/ }).click();
  const effect = dialog.getByRole('table', { name: 'What the offset would change' });
  await expect(effect.getByRole('row').filter({ hasText: 'links to what preceded' })).toContainText('01');
  await dialog.getByRole('button', { name: 'Set −250 s by hand' }).click();
  await expect(dialog.getByRole('table', { name: 'Files and their clocks' })).toContainText('clock taken as 4 min 10 s ahead: 4 min 10 s taken off its times; set by hand');
  await page.keyboard.press('Escape');
  await expect(page.getByRole('button', { name: 'Clocks: 1 of 3 files set' })).toBeVisible();
  expect(await links()).toContain('min');
  expect(await links()).toMatch(/phenylephrine 100 µg[\s\S]*before, /);
});
