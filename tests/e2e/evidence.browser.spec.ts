import { expect, test } from './fixtures.ts';

test('a dropout shows how it began: patterns with their figures, and the course of the perfusion index', async ({ library, openCase, page }) => {
  await library.openCase('K01-fade-after-bolus');
  await openCase.waitFor('K01-fade-after-bolus');
  const grid = page.getByRole('grid', { name: 'Dropouts' });
  await expect(grid.getByRole('img', { name: /^Perfusion index, medians of 10 s: 5 min before/ })).toHaveCount(2);
  await openCase.dropouts.first().click();
  const details = grid.locator('.details');
  await expect(details).toContainText(/fading: perfusion index 0\.\d+ at the loss, \d+\.\d\s% of its highest/);
  await expect(details).toContainText('Patterns are evidence for a reviewer, not a verdict.');
  await page.getByText('The figures of the 6 others').click();
  await expect(details).toContainText('not abrupt: median of the last 30 s');
  await expect(details).toContainText('Change over the gap');
  await expect(details).toContainText(/Over \d+ intervals of the same length without loss/);
  await expect(details).toContainText('after 3 min 30 s');
});

test('a sensor without perfusion index says so and has no picture', async ({ library, openCase, page }) => {
  await library.openCase('K03-cuff-on-sensor-arm');
  await openCase.waitFor('K03-cuff-on-sensor-arm');
  await openCase.dropouts.first().click();
  const hasIndex = await page.locator('.tl-lane-title', { hasText: 'Perfusion index' }).count();
  await expect(page.getByRole('grid', { name: 'Dropouts' }).locator('svg.course')).toHaveCount(hasIndex === 0 ? 0 : await openCase.dropouts.count());
  await expect(page.locator('.details')).toContainText(/cuff: cuff pressure at .* of this sensor like that/);
});

test('what cannot be excluded is off until asked for, and never without its caution', async ({ frame, library, openCase, page }) => {
  await library.openCase('K06-finger-and-ear');
  await openCase.waitFor('K06-finger-and-ear');
  const caution = page.getByText('What cannot be excluded is not what happened.');
  await expect(caution.first()).toBeHidden();
  const toggle = page.getByRole('button', { name: 'Cannot be excluded' });
  await expect(toggle).toHaveAttribute('aria-pressed', 'false');
  await page.keyboard.press('n');
  await toggle.click();
  await expect(toggle).toHaveAttribute('aria-pressed', 'true');
  await expect(page.getByRole('note')).toContainText('What cannot be excluded is not what happened.');
  await expect(page.getByRole('note')).toContainText('0.5 %/s (adult)');
  await expect(openCase.timeline.locator('.tl-entry-note').first()).toContainText('cannot be excluded');
  expect(await frame.seriousFindings(), 'with the bound').toEqual([]);
  await page.getByRole('button', { name: 'Table' }).click();
  await expect(page.getByRole('columnheader', { name: 'Cannot be excluded, down to' })).toBeVisible();
  await page.getByRole('button', { name: 'Table' }).click();
  // The same by key, from inside the timeline.
  await page.getByRole('application').focus();
  await page.keyboard.press('e');
  await expect(toggle).toHaveAttribute('aria-pressed', 'false');
  await expect(page.getByRole('note')).toHaveCount(0);
});

test('dropouts that are there only with doubtful values as lost can be listed and chosen, and the sums show both results', async ({ frame, library, openCase, page }) => {
  await library.openCase('K13-cold-hands');
  await openCase.waitFor('K13-cold-hands');
  await expect(openCase.dropouts).toHaveCount(3);
  await expect(page.locator('.tl-status-key')).toContainText('weak');
  const second = openCase.sums.locator('tr.sums-second');
  await expect(second.first()).toContainText('doubtful as lost');
  await page.getByLabel(/^also \d+ only with doubtful values as lost$/).check();
  const only = openCase.dropouts.filter({ hasText: '(d)' });
  await expect(only.first()).toBeVisible();
  await only.first().click();
  await expect(page.getByText('This is a dropout only when doubtful values count as lost')).toBeVisible();
  expect(await frame.seriousFindings(), 'a dropout of the second result').toEqual([]);
  await page.getByLabel(/^also \d+ only/).uncheck();
  await expect(openCase.dropouts).toHaveCount(3);
});

test('low SpO2 has a part of its own: observed, what it could be, and what may make a value false', async ({ frame, library, openCase, page }) => {
  await library.openCase('K06-finger-and-ear');
  await openCase.waitFor('K06-finger-and-ear');
  await openCase.showList('Low SpO2');
  const finger = page.getByRole('region', { name: 'Low SpO2, finger' });
  const below90 = finger.getByRole('row', { name: /^90 %/ }).getByRole('cell');
  await expect(below90.nth(0)).toContainText(/^2\smin\s12\ss/);
  await expect(below90.nth(1)).toContainText(/^6\smin\s42\ss/);
  await expect(finger).toContainText('Below 90 %: 1 run');
  await expect(finger).toContainText('Change over each dropout, against matched intervals of this case');
  await finger.getByRole('button', { name: 'Dropout 2, finger' }).click();
  await expect(openCase.chosen).toHaveCount(1);
  await frame.goTo('Library');
  await library.openCase('K14-head-down-forehead');
  await openCase.waitFor('K14-head-down-forehead');
  await openCase.showList('Low SpO2');
  await expect(page.getByRole('tabpanel')).toContainText('may read falsely low (forehead head down:');
  await page.getByText('How is this worked out?').click();
  await expect(page.getByText('More: docs/metrics/hypoxaemia.md')).toBeVisible();
});

test('how dropouts ended and what was done stands by site and by dropout', async ({ library, openCase, page }) => {
  await library.openCase('K05-move-to-nasal-ala');
  await openCase.waitFor('K05-move-to-nasal-ala');
  await openCase.showList('Restored');
  const panel = page.getByRole('tabpanel');
  await expect(panel).toContainText('at nasal ala; not at this site');
  await expect(panel).toContainText('Only what was written down counts as done.');
  await panel.getByRole('button', { name: /^Dropout 1/ }).first().click();
  await expect(openCase.chosen).toHaveCount(1);
});

test('how every figure is worked out can be read from the case screen', async ({ library, openCase, page }) => {
  await library.openCase('K01-fade-after-bolus');
  await openCase.waitFor('K01-fade-after-bolus');
  await page.getByRole('button', { name: 'How figures are worked out' }).click();
  await expect(page.getByRole('dialog', { name: 'How the figures of this screen are worked out' })).toContainText('docs/methods/blind-interval.md');
  await page.keyboard.press('Escape');
  await expect(page.getByRole('dialog')).toHaveCount(0);
});
