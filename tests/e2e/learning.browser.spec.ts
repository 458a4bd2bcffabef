import { expect, test } from './fixtures.ts';

test('how figures are worked out, beside them and over them; learning by doing, left, gone on with and ended', async ({ frame, library, openCase, page, workstation }) => {
  test.setTimeout(240_000);
  const outside: string[] = [];
  page.on('request', (request) => {
    if (!request.url().startsWith(new URL(workstation.address).origin)) outside.push(request.url());
  });
  const bar = page.getByRole('region', { name: 'Learn by doing' });
  const help = page.getByRole('dialog', { name: 'How it is worked out' });
  const step = (title: string) => expect(bar.getByRole('status')).toContainText(title);

  // The steps: the samples are there already, so the first is done by itself.
  await page.setViewportSize({ width: 1920, height: 1080 });
  await page.getByRole('button', { name: 'Learn by doing' }).click();
  await step('Open the case that lost most');
  const place = await page.getByRole('main').boundingBox();
  const barBox = await bar.boundingBox();
  expect((barBox?.y ?? NaN) + (barBox?.height ?? NaN), 'the bar hides nothing of the place').toBeLessThanOrEqual((place?.y ?? NaN) + 1);
  expect(await frame.seriousFindings(), 'the bar').toEqual([]);
  await library.openCase('K10-without-loss');
  await openCase.waitFor('K10-without-loss');
  await step('Open the case that lost most');
  await page.keyboard.press('l');
  await library.openCase('K11-bypass');
  await openCase.waitFor('K11-bypass');
  await step('Go to the next dropout');
  await bar.getByRole('button', { name: 'Leave' }).click();
  await expect(bar).toHaveCount(0);
  await page.reload();
  await expect(library.rows.first()).toBeVisible();
  await expect(bar).toHaveCount(0);
  await page.keyboard.press('?');
  await page.getByRole('button', { name: 'Go on with step 3 of 10' }).click();
  await step('Go to the next dropout');
  await library.openCase('K11-bypass');
  await openCase.waitFor('K11-bypass');
  await page.keyboard.press('n');
  await step('Read what cannot be excluded');
  await page.locator('summary', { hasText: 'What cannot be excluded inside it' }).click();
  await step('See what came before');
  await openCase.showList('Exposures');
  await step('Say what it was');
  await bar.getByRole('button', { name: 'Skip this' }).click();
  await step('Ask how a figure is worked out');

  // Beside the figure: it stays in sight, and the mark is one stop for the whole row of headings.
  const lost = openCase.sums.getByRole('columnheader', { name: 'Time lost' });
  const marks = openCase.sums.locator('thead .figure-help');
  expect(await marks.count()).toBeGreaterThan(4);
  expect(await openCase.sums.locator('thead .figure-help[tabindex="0"]').count()).toBe(1);
  await lost.hover();
  await lost.getByRole('button', { name: 'How is ‘time lost’ worked out?' }).click();
  await expect(help.getByRole('heading', { name: 'Definition', exact: true })).toBeFocused();
  await expect(help).toContainText('Σ lowᵢ ≤ Σ Lᵢ ≤ Σ highᵢ');
  await step('Move a definition');
  const beside = await help.boundingBox();
  const figure = await openCase.sums.locator('tbody tr').first().locator('td').nth(2).boundingBox();
  expect((figure?.x ?? NaN) + (figure?.width ?? NaN), 'the figure stays in sight').toBeLessThanOrEqual(beside?.x ?? NaN);
  expect(await frame.seriousFindings(), 'help beside').toEqual([]);
  await help.getByRole('button', { name: 'interval', exact: false }).first().click();
  await page.keyboard.press('Alt+ArrowLeft');
  await expect(help.getByRole('heading', { level: 3, name: 'Dropout', exact: true })).toBeVisible();
  await page.keyboard.press('Alt+ArrowRight');
  await help.getByRole('searchbox', { name: 'Search every page' }).fill('blind certain');
  await help.getByRole('button', { name: 'Blind interval: Definition' }).click();
  await expect(help.getByRole('heading', { level: 3, name: 'Blind interval' })).toBeVisible();
  await page.keyboard.press('Escape');
  await expect(help).toHaveCount(0);
  await expect(lost.getByRole('button')).toBeFocused();

  // By keyboard alone: along the row of marks, then F1 on a row of the list and on nothing in particular.
  await page.keyboard.press('ArrowRight');
  await expect(openCase.sums.getByRole('button', { name: 'How is ‘share lost’ worked out?' })).toBeFocused();
  await page.keyboard.press('Enter');
  await expect(help.getByRole('heading', { level: 4, name: 'Denominators' })).toBeFocused();
  await page.keyboard.press('F1');
  await expect(help).toHaveCount(0);
  await openCase.showList('Dropouts');
  await openCase.dropouts.first().focus();
  await page.keyboard.press('F1');
  await expect(help).toContainText('the number of a dropout');
  await page.keyboard.press('Escape');
  await expect(openCase.dropouts.first()).toBeFocused();

  // Over the figure where the window is narrow, and over a dialog wherever it is; the contents reach every page.
  await page.setViewportSize({ width: 1280, height: 800 });
  await page.getByRole('button', { name: /^Record: / }).click();
  const record = page.getByRole('dialog', { name: /^The record of/ });
  await record.getByRole('columnheader', { name: 'How made' }).hover();
  await record.getByRole('button', { name: 'How is ‘how values were made’ worked out?' }).click();
  await expect(help.getByRole('heading', { level: 3, name: /^How a stored value was made/ })).toBeVisible();
  await help.getByRole('button', { name: 'Contents' }).click();
  await help.getByRole('button', { name: 'Cohort tables without a window' }).click();
  expect(await frame.seriousFindings(), 'help over').toEqual([]);
  await page.keyboard.press('Escape');
  await expect(record.getByRole('button', { name: 'How is ‘how values were made’ worked out?' })).toBeFocused();
  await page.keyboard.press('Escape');

  // What is left of the steps.
  await page.keyboard.press('d');
  await page.getByRole('radio', { name: '10 min' }).check({ force: true });
  await step('Put it back');
  await page.getByRole('button', { name: 'Back to the library’s' }).click();
  await step('Read the cautions');
  await page.keyboard.press('a');
  await expect(bar).toHaveCount(0);
  await expect(frame.messages).toContainText('Those were the steps.');
  await expect(page.getByRole('button', { name: 'Learn by doing, once more' })).toBeVisible();
  expect(outside, 'nothing is fetched from elsewhere').toEqual([]);
});
