import { readFileSync } from 'node:fs';
import { expect, test } from './fixtures.ts';

const EXPECTED = JSON.parse(readFileSync(new URL('../../sample-cases/expected.json', import.meta.url), 'utf8')) as {
  cases: Record<string, { sites: Record<string, { losses: { start_s: number; end_s: number; kept: boolean }[] }> }>;
};

test('one case: coverage, lag, differences and strength of both sites, with the curves made to coincide', async ({ frame, library, openCase, sites, page }) => {
  test.setTimeout(180_000);
  await library.openCase('K06-finger-and-ear');
  await openCase.waitFor('K06-finger-and-ear');
  await sites.showPart('Sites compared');
  await expect(page.getByRole('img', { name: /What each sensor gave over time/ })).toBeVisible();

  // The sample case says by construction that each site covers the other's loss.
  const coverage = await sites.rowsOf('Coverage the other site would have given');
  expect(coverage.map((row) => [row[0], row[1], row[3]])).toEqual([['finger', 'ear lobe', '100.0 %'], ['ear lobe', 'finger', '100.0 %']]);
  const lostS = EXPECTED.cases['K06-finger-and-ear']!.sites['ear lobe']!.losses.reduce((sum, loss) => sum + loss.end_s - loss.start_s, 0);
  expect(coverage[1]![2]).toBe(`${lostS / 60} min`);

  // Its desaturation comes earlier at the ear lobe.
  await expect(page.getByText(/the ear lobe comes \d+\ss before the finger/)).toBeVisible();
  await expect(sites.swings).toHaveCount(2);
  await sites.swings.first().focus();
  await page.keyboard.press('Enter');
  await expect(sites.swings.first()).toHaveAttribute('aria-selected', 'true');
  await expect(page.locator('.cs-mark-chosen .cs-mark-text')).toHaveText(/^\d+\ss$/);

  const apart = async (): Promise<number> => {
    const line = page.locator('.cs-mark-chosen .cs-mark-line');
    return Math.abs(Number(await line.getAttribute('x1')) - Number(await line.getAttribute('x2')));
  };
  const asRecorded = await apart();
  expect(asRecorded).toBeGreaterThan(20);
  await page.getByLabel('Show the ear lobe shifted, to see the curves coincide').check();
  await expect(page.getByText(/The ear lobe is not where it was recorded: it is drawn \d+\ss later/)).toBeVisible();
  await expect.poll(apart).toBeLessThan(asRecorded / 5);
  await page.getByLabel('Moved by (minus: earlier)').fill('0');
  await expect.poll(apart).toBe(asRecorded);

  await expect(page.getByText('these are differences, not errors')).toBeVisible();
  for (const theme of ['Light', 'Dark'] as const) {
    await frame.choose(theme);
    expect(await frame.seriousFindings(), theme).toEqual([]);
  }
  await page.getByText(/stable pairs as a table/).click();
  await expect(page.getByRole('table', { name: 'Stable pairs' }).locator('tbody tr').first()).toBeVisible();
  await page.getByText('Values as a table').click();
  await expect(page.getByRole('table', { name: /^SpO2 in this window/ }).locator('tbody tr').first()).toContainText('%');
  await page.getByText('Stretches of time as a table').click();
  await expect(page.getByRole('table', { name: 'Stretches of time' })).toContainText('only the ear lobe');
});

test('a case with one site says what a comparison would need, and keeps what it can show', async ({ frame, library, openCase, page }) => {
  await library.openCase('K01-fade-after-bolus');
  await openCase.waitFor('K01-fade-after-bolus');
  await page.keyboard.press('v');
  await expect(page.getByRole('heading', { name: 'Only one sensor was monitored in this case: finger' })).toBeVisible();
  await expect(page.getByText('two sensors worn at the same time')).toBeVisible();
  await expect(page.getByRole('table', { name: 'Strength and steadiness of the signal' })).toContainText('finger');
  expect(await frame.seriousFindings()).toEqual([]);
  await page.keyboard.press('v');
  await expect(page.locator('.tl-root')).toBeVisible();
});

test('all chosen cases: chosen by key, compared, each figure leading to its cases', async ({ frame, library, sites, page }) => {
  test.setTimeout(180_000);
  await page.keyboard.press('s');
  await expect(page.getByRole('heading', { name: 'No case is chosen' })).toBeVisible();
  expect(await frame.seriousFindings(), 'nothing chosen').toEqual([]);
  await page.getByRole('button', { name: 'Choose in the library' }).click();

  await library.row('K06-finger-and-ear').focus();
  await page.keyboard.press('Space');
  await expect(page.getByRole('checkbox', { name: 'Choose K06-finger-and-ear' })).toBeChecked();
  await expect(page.getByText('1 case is chosen.')).toBeVisible();
  await page.getByLabel('Name or file holds').fill('K07');
  await expect(page.getByText('1 case is chosen, 0 of them shown.')).toBeVisible();
  await page.getByRole('button', { name: 'Choose all 1 shown' }).click();
  await expect(page.getByText('2 cases are chosen, 1 of them shown.')).toBeVisible();
  await page.getByRole('button', { name: 'Compare the sites of the chosen' }).click();

  await expect(page.getByText('2 cases chosen, 2 of them with more than one site.')).toBeVisible();
  await page.getByLabel('Which two sites').selectOption({ label: 'finger and forehead: 1 case' });
  const times = await sites.rowsOf('Who gave information, all cases together');
  expect(times.map((row) => row[0])).toEqual(['both', 'only the finger', 'only the forehead', 'none']);
  expect((await sites.rowsOf(/^Differences finger − forehead/))[0]!.slice(-2)).not.toContain('');
  for (const theme of ['Light', 'Dark'] as const) {
    await frame.choose(theme);
    expect(await frame.seriousFindings(), theme).toEqual([]);
  }

  const row = page.getByRole('grid', { name: 'Cases with finger and forehead' }).locator('tr[data-row]').first();
  await row.focus();
  await page.keyboard.press('Enter');
  await expect(page.getByRole('heading', { level: 1, name: 'K07-blind-interval' })).toBeVisible();
  await expect(page.getByRole('heading', { name: 'Coverage over time' })).toBeVisible();

  // Reading the library anew keeps the choice.
  await frame.goTo('Library');
  await expect(page.getByRole('checkbox', { name: 'Choose K07-blind-interval' })).toBeChecked();
});
