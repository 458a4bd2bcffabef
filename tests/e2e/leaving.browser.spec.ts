import { readFile } from 'node:fs/promises';
import { strFromU8, unzipSync } from 'fflate';
import { expect, test } from './fixtures.ts';

/** A name that is in no record, typed by a person. */
const NAME = 'Quillfeather';

test('a story leaves as slides only after every word that may name somebody is answered; the text of local policy is on each slide', async ({ frame, library, openCase, page }) => {
  test.slow();
  await page.setViewportSize({ width: 1280, height: 800 });
  await library.openCase('K07-blind-interval');
  await openCase.waitFor('K07-blind-interval');
  await openCase.dropouts.first().click();
  await page.keyboard.press('Shift+C');
  const collect = page.getByRole('dialog', { name: 'Collect a moment' });
  await collect.getByLabel('Title of the new story').fill('Blind under the drapes');
  await collect.getByLabel('Text').fill(`Told by ${NAME} at 14:32 on 3 March 2031. The arm was tucked.`);
  await collect.getByRole('button', { name: /Collect/ }).click();
  await frame.goTo('Meeting');
  await page.getByRole('button', { name: 'Blind under the drapes', exact: true }).click();
  await page.getByRole('button', { name: 'Slides and pictures…' }).click();

  const dialog = page.getByRole('dialog', { name: 'Slides of this story' });
  const names = dialog.getByRole('region', { name: 'May be names' });
  await expect(names.getByRole('row', { name: new RegExp(`^${NAME}`) })).toContainText('Told by');
  await expect(dialog.getByRole('region', { name: 'Clock times' })).toContainText('14:32');
  await expect(dialog.getByRole('region', { name: 'Dates, months and days' })).toContainText('3 March 2031');
  await expect(dialog.getByRole('button', { name: 'Save as slides (PPTX)' })).toBeDisabled();
  expect(await frame.seriousFindings(), 'what would go out').toEqual([]);

  // By keyboard: a name is replaced, a date left out, what else is asked about stays.
  await names.getByLabel(`Decision about ${NAME}`).focus();
  await page.keyboard.press('r');
  await names.getByLabel(`In place of ${NAME}`).fill('the anaesthetist');
  await page.keyboard.press('Enter');
  await expect(dialog.getByRole('region', { name: 'Does not go out' })).toContainText(`${NAME} → the anaesthetist`);
  await dialog.getByRole('button', { name: 'Leave all out: Dates, months and days' }).click();
  await dialog.getByRole('button', { name: 'Leave all out: Clock times' }).click();
  await expect(dialog.getByText('Everything is answered.')).toBeVisible();

  await dialog.getByLabel(/^Confidentiality text/).fill('Peer review, house rule');
  await dialog.getByRole('button', { name: 'Use this text' }).click();
  // The slides are made anew; what was answered holds for the same words.
  await expect(dialog.getByText('Everything is answered.')).toBeVisible();
  await expect(dialog.getByRole('button', { name: 'Use this text' })).toBeDisabled();
  const saved = async (label: string): Promise<Buffer> => {
    const [download] = await Promise.all([page.waitForEvent('download'), dialog.getByRole('button', { name: label }).click()]);
    expect(download.suggestedFilename()).toMatch(/^(slides|picture)\.[a-z]+$/);
    return await readFile(await download.path());
  };
  const parts = unzipSync(await saved('Save as slides (PPTX)'));
  const slides = Object.entries(parts).filter(([name]) => /^ppt\/(slides|slideLayouts)\/[^/]+\.xml$/.test(name)).map(([, bytes]) => strFromU8(bytes)).join('');
  expect(['Peer review, house rule', 'The arm was tucked.', '<a:tbl>', NAME, '14:32', 'March'].filter((words) => slides.includes(words))).toEqual(['Peer review, house rule', 'The arm was tucked.', '<a:tbl>']);
  const html = (await saved('Save as HTML')).toString('utf8');
  expect(html.match(/Peer review, house rule/g)?.length).toBeGreaterThan(3);
  expect([NAME, '14:32', 'March'].filter((words) => html.includes(words))).toEqual([]);
  expect((await saved('Save as PDF')).subarray(0, 5).toString()).toBe('%PDF-');
  const png = await saved('Save picture as PNG');
  // PNG (ISO/IEC 15948), image header: the width stands in bytes 16 to 19.
  expect(png.readUInt32BE(16)).toBe(3840);
  await dialog.getByRole('button', { name: 'Close' }).click();

  // The file opens by itself, without a network, and is read and turned by keys.
  await page.context().setOffline(true);
  const alone = await page.context().newPage();
  await alone.setContent(html);
  await page.context().setOffline(false);
  await expect(alone.getByRole('heading', { name: 'Blind under the drapes' })).toBeVisible();
  await alone.keyboard.press('End');
  await expect(alone.getByRole('heading', { name: 'What has to be kept in mind' })).toBeVisible();
  await alone.keyboard.press('Escape');
  await expect(alone.getByRole('heading', { name: 'Blind under the drapes' })).toBeVisible();
  await alone.close();

  // The same text is on a case sheet, which is asked about in the same way.
  await frame.goTo('Case');
  await page.getByRole('button', { name: 'Case sheet' }).click();
  await expect(page.getByRole('dialog')).toContainText('Peer review, house rule');
  await page.getByRole('button', { name: 'Check the words and save…' }).click();
  const sheet = page.getByRole('dialog', { name: 'Case sheet: what would go out' });
  await expect(sheet.getByRole('region', { name: 'Numbers and codes' })).toContainText('K07');
  await expect(sheet.getByRole('button', { name: 'Save as PDF' })).toBeDisabled();
  for (const kind of ['Numbers and codes', 'Clock times', 'Dates, months and days']) await sheet.getByRole('button', { name: `Keep all: ${kind}` }).click();
  await expect(sheet.getByText('Everything is answered.')).toBeVisible();
  const [pdf] = await Promise.all([page.waitForEvent('download'), sheet.getByRole('button', { name: 'Save as PDF' }).click()]);
  expect(pdf.suggestedFilename()).toBe('case-sheet.pdf');
  await expect(sheet.getByText('Saved case-sheet.pdf')).toBeVisible();
});
