import { readFile } from 'node:fs/promises';
import { expect, test } from './fixtures.ts';

test('many cases: chosen, asked in the words of those who ask, each point leading to its cases, numbers and pictures saved', async ({ frame, library, cohort, page }) => {
  test.setTimeout(180_000);
  // The samples come in while the window is open already.
  await expect(library.rows).toHaveCount(19, { timeout: 60_000 });
  await frame.goTo('Cohort');
  await expect(cohort.counts).toContainText('19 cases are looked at: every usable case. Nothing of the 19 cases asked for is left out.');
  await expect(page.getByRole('heading', { name: 'How often and how long are we blind?' })).toBeVisible();
  for (const theme of ['Light', 'Dark'] as const) {
    await frame.choose(theme);
    expect(await frame.seriousFindings(), `quality lead, ${theme}`).toEqual([]);
  }

  // Every sample case has a service but no age; narrowed to one service the flow says what was left out and why.
  await page.getByText('Narrow the cases').click();
  const service = page.getByRole('group', { name: /^Service/ });
  await service.getByRole('button', { name: 'None of service' }).click();
  await service.getByLabel(/^Day surgery/).check();
  await expect(cohort.counts).toContainText('3 cases are looked at: service: Day surgery.');
  await page.getByText('Flow of cases: how many came how far').click();
  await cohort.points('Flow of cases').last().focus();
  await expect(cohort.chart('Flow of cases')).toContainText('Looked at: 3 cases');

  // A point is walked to and pressed from the keyboard; its case opens.
  const place = 'Share of monitored time lost, by place';
  await cohort.points(place).first().focus();
  await page.keyboard.press('End');
  await expect(cohort.points(place).last()).toBeFocused();
  await page.keyboard.press('Enter');
  const dialog = page.getByRole('dialog', { name: 'Cases of: no site informed' });
  await expect(dialog.getByRole('row')).toHaveCount(4);
  await page.keyboard.press('Escape');

  // The table stands in the place of the picture and says the same; the file holds the numbers.
  await cohort.chart(place).getByRole('button', { name: 'Show as a table' }).click();
  await expect(cohort.chart(place).getByRole('table')).toContainText('finger');
  const csv = await readFile(await (await cohort.save(place, 'Save numbers as CSV')).path(), 'utf8');
  expect(csv.split('\r\n')[0]).toContain('group,place,cases,monitored_s,dropouts,lost_mid_s');
  expect(csv.split('\r\n').find((line) => line.startsWith('finger,'))).toMatch(/^finger,finger,2,5700,1,100,/);
  const svg = await readFile(await (await cohort.save(place, 'Save as SVG')).path(), 'utf8');
  expect(svg).toContain('Definition: “default”');
  const png = await readFile(await (await cohort.save(place, 'Save as PNG')).path());
  expect(png.subarray(1, 4).toString('latin1')).toBe('PNG');

  await page.getByRole('button', { name: 'Take every case again' }).click();
  await expect(cohort.counts).toContainText('19 cases are looked at');
  await page.getByRole('tab', { name: 'Department' }).click();
  await expect(page.getByText('Association is not cause').first()).toBeVisible();
  await page.getByRole('tab', { name: 'Researcher' }).click();
  await expect(cohort.points('Rate of loss after a vasopressor bolus').first()).toBeVisible();
  expect(await frame.seriousFindings(), 'researcher').toEqual([]);

  // A quality chart is tried before it is made, kept with its reason, and marked with a change.
  await cohort.showPart('Quality charts');
  await page.getByRole('button', { name: 'Make a chart' }).click();
  await page.getByLabel('Points', { exact: true }).selectOption('cases');
  await page.getByLabel('Cases in a point').fill('4');
  await expect(page.getByText('Not usable: it must lie from 5 to 1000.')).toBeVisible();
  await page.getByLabel('Cases in a point').fill('5');
  await expect(page.getByText('Not usable')).toHaveCount(0);
  await page.getByRole('button', { name: 'See what it would look like' }).click();
  await expect(cohort.points('Share of monitored time lost').first()).toBeVisible();
  expect(await frame.seriousFindings(), 'a new chart').toEqual([]);
  await page.getByLabel('Name of the chart').fill('Share lost');
  await page.getByLabel('Reason (kept with the chart)').fill('first look');
  await page.getByRole('button', { name: 'Make the chart' }).click();
  await expect(page.getByRole('heading', { level: 1, name: 'Share lost' })).toBeVisible();
  await expect(page.getByText('3 points are kept. The cases of today give the same.')).toBeVisible();
  await page.getByLabel('First day of the new way').fill('2031-06-01');
  await page.getByLabel('What was changed').fill('second site');
  await page.getByRole('button', { name: 'Mark the change' }).click();
  await expect(page.getByRole('table', { name: 'Changes with the measure before and after' })).toContainText('after ÷ before');
  expect(await frame.seriousFindings(), 'a kept chart').toEqual([]);

  await cohort.points('Share lost').first().focus();
  await page.keyboard.press('Enter');
  await page.getByRole('dialog').getByRole('button', { name: /^K/ }).first().click();
  await expect(page.getByRole('heading', { level: 1, name: /^K/ })).toBeVisible();
});
