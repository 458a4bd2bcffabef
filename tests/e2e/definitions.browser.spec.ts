import { expect, test } from './fixtures.ts';

test('changing the shortest loss works the open case out again, with before and after', async ({ frame, library, openCase, definitions, page }) => {
  await library.openCase('K03-cuff-on-sensor-arm');
  await openCase.waitFor('K03-cuff-on-sensor-arm');
  const atFirst = await openCase.dropouts.count();
  await frame.goTo('Definitions');
  await definitions.field('Shortest loss that counts').fill('45');
  await expect.poll(async () => (await definitions.counts('finger')).now).not.toBe(`${atFirst} dropouts`);
  const { before, now } = await definitions.counts('finger');
  expect(before).toBe(`${atFirst} dropouts`);
  const fewer = Number(/\d+/.exec(now)?.[0] ?? 0);
  expect(fewer).toBeLessThan(atFirst);
  await frame.goTo('Case');
  await expect(openCase.dropouts).toHaveCount(fewer);
  await expect(page.getByText('≥ 45 s')).toBeVisible();
  await expect(page.getByText('on trial, the library uses another')).toBeVisible();
});

test('a number that cannot be used is explained, and the last usable one stays', async ({ frame, definitions, page }) => {
  await frame.goTo('Definitions');
  const field = definitions.field('Shortest loss that counts');
  await field.fill('3o');
  await expect(field).toHaveAttribute('aria-invalid', 'true');
  await expect(page.getByText('“3o” is not a number written with digits and a point.')).toBeVisible();
  await expect(page.getByText('a dropout is a loss of at least 30 s')).toBeVisible();
  await field.fill('9999');
  await expect(page.getByText('it must lie from 0 to 7200.')).toBeVisible();
});

test('the presets set the length, and their sources are told', async ({ frame, definitions, page }) => {
  await frame.goTo('Definitions');
  await page.getByRole('radio', { name: '3 min' }).check({ force: true });
  await expect(definitions.field('Shortest loss that counts')).toHaveValue('180');
  await page.getByText('Where these lengths come from').click();
  await expect(page.getByText('Reich 1996, Anesthesiology 84:859')).toBeVisible();
  await page.getByRole('button', { name: 'Back to the defaults' }).click();
  await expect(definitions.field('Shortest loss that counts')).toHaveValue('30');
});

test('definitions are used for the whole library only when asked', async ({ frame, library, definitions, page }) => {
  const dropouts = async (): Promise<string> => library.row('K03-cuff-on-sensor-arm').locator('td').nth(5).innerText();
  const atFirst = await dropouts();
  await frame.goTo('Definitions');
  await definitions.field('Shortest loss that counts').fill('45');
  await frame.goTo('Library');
  expect(await dropouts()).toBe(atFirst);
  await frame.goTo('Definitions');
  await page.getByRole('button', { name: 'Use for the whole library' }).click();
  await expect(frame.messages).toContainText('analysed again', { timeout: 60_000 });
  await frame.goTo('Library');
  await expect(library.row('K03-cuff-on-sensor-arm').locator('td').nth(5)).not.toHaveText(atFirst);
  await frame.goTo('Definitions');
  await page.getByRole('button', { name: 'Back to the defaults' }).click();
  await page.getByRole('button', { name: 'Use for the whole library' }).click();
  await expect(frame.messages.last()).toContainText('analysed again', { timeout: 60_000 });
  await frame.goTo('Library');
  await expect(library.row('K03-cuff-on-sensor-arm').locator('td').nth(5)).toHaveText(atFirst);
});
