import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test, type Page } from '@playwright/test';
import { CohortPage } from './pages/cohort-page.ts';
import { ImportPage, textFile } from './pages/import-page.ts';
import { WindowPage } from './pages/window-page.ts';
import { startWorkstation } from './workstation.ts';

/** Twenty minutes of a finger sensor in each of 48 cases over eight months; one case in two with a loss of 90 s until June, then one in six. */
const CASES = Array.from({ length: 48 }, (_, i) => {
  const date = new Date(Date.UTC(2030, Math.floor(i / 6), 2 + (i % 6) * 4, 8));
  const isLong = i % (i < 30 ? 2 : 6) === 0;
  return Array.from({ length: 121 }, (_row, s) => `C-${String(i).padStart(2, '0')},${new Date(date.getTime() + s * 10_000).toISOString().replace('T', ' ').slice(0, 19)},${isLong && s >= 30 && s < 39 ? '' : 97}`);
});
const EXPORT = `Case ID,Time,SpO2 finger (%)\n${CASES.flat().join('\n')}\n`;

async function actionsOf(page: Page, frame: WindowPage): Promise<void> {
  await frame.goTo('Meeting');
  await page.getByRole('navigation', { name: 'Parts of the meeting' }).getByRole('button', { name: /^Actions/ }).click();
}

test('an action from the meeting to its measure again: asked, changed, marked on the chart, measured, closed', async ({ browser }) => {
  test.setTimeout(180_000);
  const folder = await mkdtemp(join(tmpdir(), 'lacuna-e2e-actions-'));
  const station = await startWorkstation({ library: join(folder, 'ward') });
  const page = await (await browser.newContext({ viewport: { width: 1280, height: 800 }, acceptDownloads: true })).newPage();
  const [frame, imports, cohort] = [new WindowPage(page), new ImportPage(page), new CohortPage(page)];
  await frame.open(station.address);
  await frame.goTo('Import');
  await imports.chooseFiles([textFile('ward.csv', EXPORT)]);
  await imports.waitForReport();

  await actionsOf(page, frame);
  await expect(page.getByRole('heading', { name: 'No action yet' })).toBeVisible();
  expect(await frame.seriousFindings(), 'no action').toEqual([]);

  // The chart that actions are measured by.
  await frame.goTo('Cohort');
  await cohort.showPart('Quality charts');
  await page.getByRole('button', { name: 'Make a chart' }).click();
  await page.getByLabel('What a point is').selectOption('cases with a long loss');
  await page.getByRole('button', { name: 'See what it would look like' }).click();
  await page.getByLabel('Name of the chart').fill('Long dropouts');
  await page.getByLabel('Reason (kept with the chart)').fill('first look');
  await page.getByRole('button', { name: 'Make the chart' }).click();
  await expect(page.getByText('No action of a meeting is measured by this chart.')).toBeVisible();

  // A name is asked about; a role is kept.
  await actionsOf(page, frame);
  await page.getByRole('button', { name: 'Write an action…' }).click();
  await page.getByLabel('What is to be done').fill('Second sensor on the ear lobe whenever both arms are tucked');
  await page.getByLabel('Owner: a role').fill('Dr Keller');
  await page.getByLabel('Due').fill('2020-06-30');
  await page.getByLabel('Measured by').selectOption({ label: 'Long dropouts' });
  await page.getByRole('button', { name: 'Keep the action' }).click();
  await expect(page.getByText('The owner looks like it names a person.')).toBeVisible();
  expect(await frame.seriousFindings(), 'the question about a name').toEqual([]);
  await page.getByRole('button', { name: 'Change the text' }).click();
  await page.getByLabel('Owner: a role').fill('lead for monitoring');
  await page.getByLabel('Owner: a role').press('Enter');
  await expect(page.getByRole('heading', { level: 1, name: /^Second sensor/ })).toBeVisible();
  await page.getByRole('button', { name: 'All actions' }).click();
  await expect(page.getByText('1 action is open, and overdue.')).toBeVisible();
  await expect(page.getByRole('button', { name: /^Actions 1 not measured again/ })).toBeVisible();

  // The change stands on the chart; measured, it has the figures that the chart shows.
  await page.getByRole('button', { name: /^Second sensor/ }).click();
  await page.getByLabel('First day of the new way').fill('2030-06-01');
  await page.getByLabel('What was changed').fill('second sensor with tucked arms');
  await page.getByRole('button', { name: 'Say the change' }).click();
  await expect(page.getByText('Marked on the chart.')).toBeVisible();
  await page.getByRole('button', { name: 'Measure again' }).click();
  await expect(page.getByText('Measured again on the same definition.')).toBeVisible({ timeout: 60_000 });
  // 15 of 30 before, 3 of 18 after.
  const figure = page.getByRole('figure', { name: 'Before and after the change' });
  await expect(figure).toContainText('after ÷ before 0.33');
  await figure.getByRole('button', { name: 'Show as a table' }).click();
  await expect(figure.getByRole('table')).toContainText('15 of 30 cases');
  await expect(figure.getByRole('table')).toContainText('3 of 18 cases');
  await expect(page.getByText('it does not show that the change made it', { exact: false })).toBeVisible();
  for (const theme of ['Light', 'Dark'] as const) {
    await frame.choose(theme);
    expect(await frame.seriousFindings(), `an action, ${theme}`).toEqual([]);
  }
  await page.getByRole('button', { name: 'Measure once more' }).click();
  await expect(page.getByText('nothing was written')).toBeVisible();
  await page.getByRole('button', { name: 'Long dropouts', exact: true }).click();
  await expect(page.getByRole('table', { name: 'Changes with the measure before and after' })).toContainText('after ÷ before 0.33');
  await expect(page.getByText('1 action is measured by it; each was measured again, closed or given up.')).toBeVisible();
  await page.getByRole('button', { name: /^Second sensor/ }).click();
  await page.getByLabel('Why it is closed').fill('seen in the meeting; the way stays');
  await page.getByRole('button', { name: 'Close the action' }).click();
  await expect(page.getByText('It can be taken up again.')).toBeVisible();

  // One that comes too late in the record is too early to be measured, and stays in view.
  await page.getByRole('button', { name: 'All actions' }).click();
  await page.getByRole('button', { name: 'Write an action…' }).click();
  await page.getByLabel('What is to be done').fill('Prompt at 60 s of loss');
  await page.getByLabel('Owner: a role').fill('equipment group');
  await page.getByLabel('Measured by').selectOption({ label: 'Long dropouts' });
  await page.getByRole('button', { name: 'Keep the action' }).click();
  await page.getByLabel('First day of the new way').fill('2030-08-14');
  await page.getByLabel('What was changed').fill('prompt on every monitor');
  await page.getByRole('button', { name: 'Say the change' }).click();
  await page.getByRole('button', { name: 'Measure again' }).click();
  await expect(page.getByText(/^Too early/)).toBeVisible();
  await page.getByRole('button', { name: 'All actions' }).click();
  await expect(page.getByText('1 was changed and not measured again.')).toBeVisible();
  expect(await frame.seriousFindings(), 'the list').toEqual([]);
  const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Save as CSV' }).click()]);
  const rows = (await readFile(await download.path(), 'utf8')).trim().split('\r\n');
  expect(rows).toHaveLength(3);
  expect(rows[2]).toContain('seen in the meeting; the way stays');

  // A story takes in what became of them, and an action is written from one of its moments.
  await page.getByRole('navigation', { name: 'Parts of the meeting' }).getByRole('button', { name: 'Stories' }).click();
  await page.getByRole('button', { name: 'New story…' }).first().click();
  await page.getByLabel('Title').fill('Both arms tucked');
  await page.getByRole('button', { name: 'Make the story' }).click();
  await page.getByRole('button', { name: 'Both arms tucked', exact: true }).click();
  await page.getByRole('button', { name: '+ actions' }).click();
  await expect(page.getByLabel('Text', { exact: true })).toHaveValue(/^– Prompt at 60 s of loss \(equipment group\): changed, not measured again\.\n– Second sensor .*: closed\./);
  await page.getByRole('button', { name: 'Write an action…' }).click();
  await expect(page.getByText('Written from the story “Both arms tucked”, one of its moments.')).toBeVisible();

  await page.context().close();
  await station.stop();
  await rm(folder, { recursive: true, force: true });
});
