import { readFileSync } from 'node:fs';
import { expect, test } from './fixtures.ts';

const EXPECTED = JSON.parse(readFileSync(new URL('../../sample-cases/expected.json', import.meta.url), 'utf8')) as {
  cases: Record<string, { sites: Record<string, { losses: { start_s: number; end_s: number; kept: boolean }[] }> }>;
};

/** Returns a length in seconds of a text such as "3 min 30 s". */
function secondsOf(text: string): number {
  const part = (unit: string): number => Number(new RegExp(`(\\d+)\\s${unit}\\b`).exec(text)?.[1] ?? 0);
  return part('h') * 3600 + part('min') * 60 + part('s');
}

test('a case shows its dropouts with bounds that hold the true length, and what preceded them', async ({ library, openCase }) => {
  await library.openCase('K01-fade-after-bolus');
  await openCase.waitFor('K01-fade-after-bolus');
  const losses = EXPECTED.cases['K01-fade-after-bolus']!.sites['finger']!.losses;
  await expect(openCase.dropouts).toHaveCount(losses.length);
  for (const [index, loss] of losses.entries()) {
    const mid = await openCase.dropouts.nth(index).locator('td').nth(2).locator('.figure').first().innerText();
    expect(Math.abs(secondsOf(mid) - (loss.end_s - loss.start_s))).toBeLessThanOrEqual(1); // one recording interval of this case: 1 s
  }
  await openCase.dropouts.first().click();
  await expect(openCase.chosen).toHaveCount(1);
  const details = openCase.page.locator('.details');
  await expect(details).toContainText('phenylephrine 100 µg');
  await expect(details).toContainText('4 min before, certain'); // bolus at 2,400 s, loss at 2,640 s
  await expect(details).toContainText('last good');
  const sums = await openCase.sumsOf('finger');
  expect(sums[1]).toBe('2');
});

test('next and previous dropout by key move list and timeline together, and stop at the ends', async ({ frame, library, openCase, page }) => {
  await library.openCase('K02-arms-tucked');
  await openCase.waitFor('K02-arms-tucked');
  await page.keyboard.press('n');
  await expect(openCase.dropouts.nth(0)).toHaveAttribute('aria-selected', 'true');
  await page.keyboard.press('n');
  await expect(openCase.dropouts.nth(1)).toHaveAttribute('aria-selected', 'true');
  await page.keyboard.press('p');
  await expect(openCase.dropouts.nth(0)).toHaveAttribute('aria-selected', 'true');
  await page.keyboard.press('p');
  await expect(frame.messages).toContainText('first dropout');
});

test('choosing a dropout puts the cursor at it, with values over all lanes; at the smallest width nothing is cut', async ({ library, openCase, page }) => {
  await page.setViewportSize({ width: 1280, height: 800 });
  await library.openCase('K06-finger-and-ear');
  await openCase.waitFor('K06-finger-and-ear');
  // The head of the case and the names of its lists take one line each; what is said of the record is not shortened.
  const heightOf = async (selector: string): Promise<number> => (await page.locator(selector).first().boundingBox())!.height;
  expect(await heightOf('.title-bar')).toBeLessThan(50);
  expect(await heightOf('.case-title')).toBeLessThan(40);
  expect(await heightOf('.list-frame .tab-list')).toBeLessThan(40);
  await expect(page.getByText('Every site recorded every 1 s, how each value was made is not stated.')).toBeVisible();
  expect(await page.locator('.sums-note, .sums-frame, .case-view').evaluateAll((elements) => elements.map((element) => element.scrollWidth - element.clientWidth))).toEqual([0, 0, 0]);
  await page.keyboard.press('n');
  await expect(openCase.chosen).toHaveCount(1);
  // On a screen of another size, where all of it is drawn larger, no lane stays empty.
  for (const width of [3840, 1280, 3840, 1280]) {
    await page.setViewportSize({ width, height: width / 1.6 });
    await expect(openCase.timeline.locator('.tl-plot canvas').first()).toBeVisible();
    await expect(page.locator('.tl-root')).toHaveAttribute('data-drawn', 'true');
  }
  const values = openCase.timeline.locator('.tl-entry-value');
  await expect.poll(async () => (await values.allInnerTexts()).filter((text) => /\d/.test(text)).length).toBeGreaterThan(3);
});

test('lanes are chosen, ordered and resized without a pointer, and stay so for the library', async ({ frame, library, openCase, page, workstation }) => {
  await library.openCase('K01-fade-after-bolus');
  await openCase.waitFor('K01-fade-after-bolus');
  const titles = openCase.timeline.locator('.tl-stage .tl-lane-title');
  await expect(titles.first()).toContainText('SpO2');
  await page.locator('summary', { hasText: 'Lanes' }).focus();
  await page.keyboard.press('Enter');
  const list = page.getByRole('list', { name: 'Lanes from top to bottom' });
  await list.getByRole('button', { name: 'Rate: up' }).focus();
  await page.keyboard.press('Enter');
  await expect(list.getByRole('button', { name: 'Rate: up' })).toBeFocused();
  await page.keyboard.press('Enter');
  await expect(titles.first()).toContainText('Rate');
  await list.getByRole('checkbox', { name: 'Temperature' }).uncheck();
  const heightOf = () => openCase.timeline.locator('.tl-plot-place .tl-plot').first().evaluate((plot) => plot.clientHeight);
  const before = await heightOf();
  await list.getByRole('button', { name: 'Rate: taller' }).click();
  await expect.poll(heightOf).toBe(before + 20);
  expect(await frame.seriousFindings(), 'list of lanes').toEqual([]);
  await page.keyboard.press('Escape');
  await expect(page.locator('summary', { hasText: 'Lanes 5 of 6' })).toBeFocused();
  await page.goto(workstation.address);
  await library.openCase('K06-finger-and-ear');
  await openCase.waitFor('K06-finger-and-ear');
  await expect(titles.first()).toContainText('Rate');
  await page.locator('summary', { hasText: 'Lanes' }).click();
  await page.getByRole('button', { name: 'Lanes as the program has them' }).click();
  await expect(titles.first()).toContainText('SpO2');
  await page.getByRole('button', { name: 'Bring my lanes back' }).click();
  await expect(titles.first()).toContainText('Rate');
  await page.locator('summary', { hasText: 'Lanes' }).click();
  await page.locator('summary', { hasText: 'Lanes' }).click();
  await page.getByRole('button', { name: 'Lanes as the program has them' }).click();
  await expect(titles.first()).toContainText('SpO2');
});

test('a lane is moved by its name and resized by its edge', async ({ library, openCase, page }) => {
  await library.openCase('K01-fade-after-bolus');
  await openCase.waitFor('K01-fade-after-bolus');
  const titles = openCase.timeline.locator('.tl-stage .tl-lane-title');
  const edge = openCase.timeline.locator('.tl-lane-edge').first();
  const grip = openCase.timeline.locator('.tl-lane-grip').first();
  await expect(page.locator('.tl-root')).toHaveAttribute('data-drawn', 'true');
  // Takes hold in the middle and lets go so many px lower.
  const drag = async (what: typeof edge, by: number): Promise<void> => {
    await what.hover();
    const box = (await what.boundingBox())!;
    await page.mouse.down();
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2 + by, { steps: 4 });
    await page.mouse.up();
  };
  const plot = openCase.timeline.locator('.tl-plot-place .tl-plot').first();
  const before = await plot.evaluate((element) => element.clientHeight);
  await drag(edge, 30);
  await expect.poll(() => plot.evaluate((element) => element.clientHeight)).toBe(before + 30);
  await edge.dblclick();
  await expect.poll(() => plot.evaluate((element) => element.clientHeight)).toBe(before);
  await drag(grip, 160);
  await expect(titles.first()).toContainText('Perfusion');
  await page.locator('summary', { hasText: 'Lanes' }).click();
  await page.getByRole('button', { name: 'Lanes as the program has them' }).click();
  await expect(titles.first()).toContainText('SpO2');
});

test('two instants are measured by key, marked with a note, and the mark stays with the case', async ({ frame, library, openCase, page, workstation }) => {
  await page.setViewportSize({ width: 1280, height: 800 });
  await library.openCase('K06-finger-and-ear');
  await openCase.waitFor('K06-finger-and-ear');
  await expect(page.locator('.tl-root')).toHaveAttribute('data-drawn', 'true');
  await page.keyboard.press('n'); // first lost 13:00:00 at the finger (1,200 s into the case)
  await page.locator('.tl-stage').focus();
  await page.keyboard.press('Alt+ArrowLeft');
  await page.keyboard.press('Alt+ArrowLeft');
  await page.keyboard.press('m');
  for (let i = 0; i < 5; i++) await page.keyboard.press('Alt+ArrowRight');
  await page.keyboard.press('m');
  const measured = page.getByRole('region', { name: 'Measured' });
  await expect(measured.getByRole('heading')).toHaveText('5 s, 12:59:58 to 13:00:03');
  const finger = measured.getByRole('row', { name: /^SpO2, finger/ });
  await expect(finger).toContainText('lost, no. 1');
  await expect(finger.locator('td').last()).toHaveText('–');
  await expect(measured.getByRole('row', { name: /^SpO2, ear lobe/ }).locator('td').last()).toHaveText(/^[+−]?\d+$/);
  expect(await frame.seriousFindings(), 'measured').toEqual([]);
  await page.keyboard.press('k');
  const note = page.getByRole('textbox', { name: 'Note of mark 1, 12:59:58 to 13:00:03, 5 s' });
  await expect(note).toBeFocused();
  await page.keyboard.type('cuff went up, ask');
  await page.keyboard.press('Tab');
  await expect(page.getByRole('button', { name: 'Undo: Note changed.' })).toBeVisible();
  expect(await frame.seriousFindings(), 'marks').toEqual([]);
  expect((await page.locator('.list-frame .tab-list').boundingBox())!.height).toBeLessThan(40);
  await page.goto(workstation.address);
  await library.openCase('K06-finger-and-ear');
  await openCase.waitFor('K06-finger-and-ear');
  await page.getByRole('tab', { name: 'Marks 1' }).click();
  await expect(note).toHaveValue('cuff went up, ask');
  await page.locator('.tl-stage').focus();
  await page.keyboard.press('t');
  await expect(page.getByRole('row', { name: /mark cuff went up, ask/ })).toBeVisible();
  await page.getByRole('button', { name: 'Remove mark 1' }).click();
  await expect(page.getByText('There is no mark in this case.')).toBeVisible();
  await page.getByRole('button', { name: 'Undo: Mark removed.' }).click();
  await expect(note).toHaveValue('cuff went up, ask');
  await page.getByRole('button', { name: 'Remove mark 1' }).click();
  await expect(page.getByText('There is no mark in this case.')).toBeVisible();
});

test('two stretches are compared in pictures and in a table, and the case is put on one sheet; nothing serious stands there for axe', async ({ frame, library, openCase, page }) => {
  await page.setViewportSize({ width: 1280, height: 800 });
  await library.openCase('K06-finger-and-ear');
  await openCase.waitFor('K06-finger-and-ear');
  await page.getByRole('button', { name: 'Compare' }).click();
  const compared = page.getByRole('region', { name: 'Compare', exact: true });
  await expect(compared.locator('.tl-root[data-drawn="true"]')).toHaveCount(2);
  await compared.getByText('Both in a table').click();
  const lost = compared.getByRole('row', { name: /^Time lost/ });
  await expect(lost.locator('td').last()).toHaveText(/^[+−]\d|^none$/);
  await compared.getByLabel('Lower: aligned on', { exact: true }).selectOption('start');
  await expect(lost.locator('td').nth(1)).toHaveText('–');
  expect(await frame.seriousFindings(), 'compare').toEqual([]);
  await page.getByRole('button', { name: 'Back to the timeline' }).click();
  await page.getByRole('button', { name: 'Case sheet' }).click();
  await expect(page.getByRole('dialog')).toContainText('cannot be excluded');
  expect(await frame.seriousFindings(), 'case sheet').toEqual([]);
});

test('exposures list the dropouts that followed, and also that none followed', async ({ library, openCase, page }) => {
  await library.openCase('K01-fade-after-bolus');
  await openCase.waitFor('K01-fade-after-bolus');
  await openCase.showList('Exposures');
  const rows = page.getByRole('grid', { name: 'Exposures' }).locator('tr[data-row]');
  await expect(rows).toHaveCount(4);
  await expect(rows.filter({ hasText: 'ephedrine' })).toContainText('none followed');
  await rows.filter({ hasText: 'norepinephrine' }).getByRole('button', { name: 'no. 2, finger' }).click();
  await expect(openCase.dropouts.nth(1)).toHaveAttribute('aria-selected', 'true');
  await expect(page.getByText('A link in time is association.')).toBeVisible();
});

test('blind intervals and record gaps have lists of their own', async ({ frame, library, openCase, page }) => {
  await library.openCase('K07-blind-interval');
  await openCase.waitFor('K07-blind-interval');
  await openCase.showList('Blind');
  await expect(page.getByRole('grid', { name: 'Blind intervals' }).locator('tr[data-row]')).toHaveCount(2);
  await openCase.showList('Record gaps');
  await expect(page.getByText('The recorder did not stop')).toBeVisible();
  await frame.goTo('Library');
  await library.openCase('K08-record-gap');
  await openCase.waitFor('K08-record-gap');
  await openCase.showList('Record gaps');
  await expect(page.getByRole('grid', { name: 'Record gaps' }).locator('tr[data-row]')).toHaveCount(2);
});

test('a case without loss says so, and the record tells what it holds', async ({ library, openCase, page }) => {
  await library.openCase('K10-without-loss');
  await openCase.waitFor('K10-without-loss');
  await expect(page.getByText('No dropout of at least 30 s was found.')).toBeVisible();
  await page.getByRole('button', { name: /^Record: / }).click();
  await expect(page.getByRole('dialog', { name: 'The record of K10-without-loss' })).toContainText('SHA-256');
  await page.keyboard.press('Escape');
  await expect(page.getByRole('dialog')).toHaveCount(0);
});
