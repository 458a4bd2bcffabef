import AxeBuilder from '@axe-core/playwright';
import { expect, test } from './fixtures.ts';

test('dragging the shortest loss lists the dropouts anew, and the tried definition can be taken over', async ({ frame, library, openCase, page }) => {
  await library.openCase('K03-cuff-on-sensor-arm');
  await openCase.waitFor('K03-cuff-on-sensor-arm');
  const atFirst = await openCase.dropouts.count();
  await frame.goTo('Definitions');
  await page.getByRole('tab', { name: 'How much hangs on it' }).click();
  const list = page.getByRole('region', { name: 'Dropouts of the tried definition' });
  await expect(list.getByRole('heading')).toContainText(`${atFirst} dropouts`);

  const slider = page.getByRole('slider', { name: 'Shortest loss that counts' });
  await slider.focus();
  await page.keyboard.press('End');
  await expect(slider).toHaveAttribute('aria-valuetext', '10 min');
  await expect(list.getByRole('heading')).toContainText('no dropouts');
  await expect(list.getByRole('cell', { name: 'gone' })).toHaveCount(atFirst);
  await page.keyboard.press('Home');
  await expect(slider).toHaveAttribute('aria-valuetext', '5 s');
  await expect(list.getByRole('cell', { name: 'gone' })).toHaveCount(0);

  await page.getByText('The curve as a table').click();
  await expect(page.getByRole('cell', { name: '10 min', exact: true }).first()).toBeVisible();
  const findings = (await new AxeBuilder({ page }).analyze()).violations.filter(({ impact }) => impact === 'serious' || impact === 'critical');
  expect(findings).toEqual([]);

  await page.getByRole('button', { name: 'Take over as definitions on trial' }).click();
  await page.getByRole('tab', { name: 'Each definition' }).click();
  await expect(page.getByRole('textbox', { name: 'Shortest loss that counts' })).toHaveValue('5');
  await frame.goTo('Case');
  await expect(page.getByText('“own”: ≥ 5 s')).toBeVisible();
});

test('a set is kept under a name, chosen, written to a file, read again and removed', async ({ frame, page }) => {
  await frame.goTo('Definitions');
  await page.getByRole('textbox', { name: 'Shortest loss that counts' }).fill('75');
  await page.getByRole('tab', { name: 'Sets' }).click();
  const name = page.getByLabel(/Keep what is looked at now/);
  await name.fill('child');
  await expect(page.getByText('this is a name of the program’s own.')).toBeVisible();
  await name.fill('ours since spring');
  await page.getByRole('button', { name: 'Keep', exact: true }).click();
  await expect(frame.messages.last()).toContainText('“ours since spring” is kept');
  await expect(page.getByText('set “ours since spring”: a dropout is a loss of at least 1 min 15 s').first()).toBeVisible();

  await page.getByRole('button', { name: 'Put the set gap of 10 min on trial' }).click();
  await expect(page.getByText('set “gap of 10 min”: a dropout is a loss of at least 10 min').first()).toBeVisible();
  const findings = (await new AxeBuilder({ page }).analyze()).violations.filter(({ impact }) => impact === 'serious' || impact === 'critical');
  expect(findings).toEqual([]);

  const download = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Write the set ours since spring to a file' }).click();
  const path = await (await download).path();
  await page.getByLabel('File with a set of definitions').setInputFiles(path);
  await expect(page.getByText('set “ours since spring”: a dropout is a loss of at least 1 min 15 s').first()).toBeVisible();
  await page.getByRole('button', { name: 'Remove the set ours since spring' }).click();
  await expect(page.getByRole('rowheader', { name: /ours since spring/ })).toHaveCount(0);

  await page.getByLabel('File with a set of definitions').setInputFiles({ name: 'broken.json', mimeType: 'application/json', buffer: Buffer.from('{"minDurationS": "soon"}') });
  await expect(page.getByText('In the parameters file, "minDurationS" does not fit')).toBeVisible();
});
