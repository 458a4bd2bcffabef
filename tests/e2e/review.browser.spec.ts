import { CERTAINTIES, VERDICTS } from '../../core/model/review.ts';
import { test as base, expect } from './fixtures.ts';
import { textFile, type GivenFile } from './pages/import-page.ts';
import { ReviewPage } from './pages/review-page.ts';

const test = base.extend<{ review: ReviewPage }>({ review: async ({ page }, use) => use(new ReviewPage(page)) });

const DROPOUTS = 20;
/** Lost from 60 s on of every fifth minute, for 40 to 59 s. */
const lostS = (i: number): number => 40 + i;

/** Returns the export of one invented case: SpO2 at the finger every second for 102 minutes with twenty losses, and a heart rate. */
function twentyDropouts(caseName: string): GivenFile {
  const rows = Array.from({ length: 102 * 60 }, (_, s) => {
    const i = Math.floor(s / 300);
    const isLost = i < DROPOUTS && s % 300 >= 60 && s % 300 < 60 + lostS(i);
    const clock = [Math.floor(s / 3600) + 8, Math.floor(s / 60) % 60, s % 60].map((part) => String(part).padStart(2, '0')).join(':');
    return `2031-06-02 ${clock},${isLost ? '' : 97 + (s % 3)},${70 + (s % 5)}`;
  });
  return textFile(`${caseName}.csv`, `Time,SpO2 finger (%),HR (/min)\n${rows.join('\n')}\n`);
}

test('a case with 20 dropouts is reviewed without the mouse, and nothing of it is lost', async ({ frame, imports, library, openCase, review, page, workstation }) => {
  test.setTimeout(240_000);
  await frame.goTo('Import');
  await imports.chooseFiles([twentyDropouts('twenty-losses')]);
  await imports.waitForReport();

  // From here on the keyboard alone.
  await review.readAs('Ada');
  await page.keyboard.press('l');
  await page.keyboard.press('Tab');
  await library.row('twenty-losses').focus();
  await page.keyboard.press('Enter');
  await openCase.waitFor('twenty-losses');
  await expect(openCase.dropouts).toHaveCount(DROPOUTS);
  await page.keyboard.press('j');
  await expect(review.dock).toContainText('Choose a dropout');
  const verdicts = Object.keys(VERDICTS);
  const keys = ['4', '5', '6', '7', '8', '9', 'u', 'z', 'y'];
  const said: string[] = [];
  for (let i = 0; i < DROPOUTS; i++) {
    await page.keyboard.press('n');
    await expect(openCase.dropouts.nth(i)).toHaveAttribute('aria-selected', 'true');
    await expect(review.savedState).toHaveText('no verdict of yours yet');
    const verdict = verdicts[i % verdicts.length]!;
    const certainty = CERTAINTIES[i % CERTAINTIES.length]!;
    await page.keyboard.press(keys[i % keys.length]!);
    await expect(review.verdict(verdict)).toHaveAttribute('aria-pressed', 'true');
    if (verdict !== 'cannot tell') await page.keyboard.press(['f', 'g', 'h'][i % 3]!);
    if (i === 3) {
      await page.keyboard.press('/');
      await page.keyboard.type('seen on the pulse lane, 4 beats');
      await page.keyboard.press('Escape');
    }
    if (i === 4) {
      // The onset a sample earlier: the fifth loss begins 4 × 300 + 60 s after 08:00:00, so last good and first lost go from 08:20:59 and 08:21:00 to a second before.
      await page.keyboard.press('Shift+B');
      await expect(page.getByLabel('Last good', { exact: true })).toBeFocused();
      await page.keyboard.press('ArrowUp');
      await expect(page.getByLabel('Last good', { exact: true })).toHaveValue('08:20:58');
      await page.keyboard.press('Tab');
      await page.keyboard.press('Tab');
      await page.keyboard.press('ArrowUp');
      await expect(page.getByLabel('First lost', { exact: true })).toHaveValue('08:20:59');
      await page.keyboard.press('Escape');
    }
    await expect(review.savedState).toHaveText('not saved yet');
    await page.keyboard.press('w');
    const words = verdict === 'cannot tell' ? verdict : `${verdict}, ${certainty}`;
    said.push(words);
    await expect(review.savedState).toHaveText(new RegExp(`^${words}: saved \\d\\d:\\d\\d:\\d\\d$`));
  }
  await expect(review.dock).toContainText('20 of 20 read');
  await page.keyboard.press('n');
  await expect(frame.messages).toContainText('last dropout');
  expect(await frame.seriousFindings()).toEqual([]);

  // The list tells the verdicts, to the eye and to speech.
  const cells = await openCase.dropouts.locator('.verdict-cell').allInnerTexts();
  expect(cells[0]).toContain('low perfusion');
  expect(cells[7]).toContain('no loss');
  expect(cells[8]).toContain('cannot tell');
  await expect(openCase.dropouts.nth(1)).toHaveAttribute('aria-label', /motion$/);
  await expect(page.locator('.tl-legend')).toContainText('by hand');

  // A new page over the same library has all of it.
  const second = await page.context().newPage();
  await second.goto(workstation.address);
  await expect(second.getByRole('row', { name: /twenty-losses/ })).toContainText('20 of 20 read');
  await second.keyboard.press('r');
  await second.getByRole('navigation', { name: 'Parts of the review' }).getByRole('button', { name: 'Trail' }).click();
  await second.getByRole('button', { name: 'Check the whole trail' }).click();
  await expect(second.getByText(/entries follow one another: none was altered/)).toBeVisible();
  await expect(second.getByRole('group', { name: 'Entries of the trail' })).toContainText(`blinded verdict on finger, 1 h 36 min into the record: ${said[19]}`);
  await second.keyboard.press('l');
  await second.getByRole('row', { name: /twenty-losses/ }).getByRole('button', { name: 'twenty-losses', exact: true }).click();
  const elsewhere = second.getByRole('grid', { name: 'Dropouts' }).locator('tr[data-row]').nth(DROPOUTS - 1).locator('.verdict-cell');
  await expect(elsewhere).not.toContainText('no loss');

  // The sums of the case stay in sight while the form is open, also on a low screen.
  for (const height of [800, 1080]) {
    await page.setViewportSize({ width: 1280, height });
    await expect(page.getByRole('group', { name: 'Sums by site' }).getByText('finger')).toBeInViewport();
    await expect(review.dock.getByRole('button', { name: /Take back/ })).toBeInViewport();
  }
  await page.setViewportSize({ width: 1280, height: 800 });

  // Undo says what it does, and the verdict before is in force again.
  await page.keyboard.press('z');
  await page.keyboard.press('f');
  await expect(review.savedState).toHaveText(`changed, not saved yet; in force: ${said[19]}`);
  await page.keyboard.press('w');
  await expect(review.savedState).toHaveText(/^no loss, certain: saved/);
  // Another window that has the case open tells it without being asked.
  await expect(elsewhere).toContainText('no loss');
  await second.close();
  await expect(review.dock.getByText('1 earlier verdict')).toBeVisible();
  await page.keyboard.press('X');
  await expect(review.savedState).toHaveText(new RegExp(`^${said[19]}: saved`));
  await page.keyboard.press('X');
  await expect(review.savedState).toHaveText(/^taken back \d\d:\d\d:\d\d; no verdict of yours is in force$/);
});

test('a draft survives another case and a reload; the queue goes on across cases', async ({ frame, library, openCase, review, page }) => {
  await review.readAs('Ben');
  await page.getByRole('button', { name: 'Draw the queue' }).click();
  await expect(review.queueRows.first()).toContainText('not read');
  expect(await frame.seriousFindings(), 'queue').toEqual([]);
  const [first, second] = [await review.queueRows.nth(0).locator('.case-link').innerText(), await review.queueRows.nth(1).locator('.case-link').innerText()];
  expect(first).not.toBe(second);
  await page.keyboard.press('q');
  await openCase.waitFor(first);
  await expect(openCase.chosen).toHaveCount(1);
  await page.keyboard.press('5');
  await page.keyboard.press('/');
  await page.keyboard.type('half a thought');
  await page.keyboard.press('Escape');
  await expect(review.savedState).toHaveText('not saved yet');
  await page.keyboard.press('q');
  await openCase.waitFor(second);
  await page.keyboard.press('y');
  await page.keyboard.press('w');
  await expect(review.savedState).toHaveText(/^cannot tell: saved/);

  await page.reload();
  await library.openCase(first);
  await openCase.waitFor(first);
  await expect(review.dock).toContainText('1 not saved');
  await page.keyboard.press('r');
  await page.getByRole('button', { name: 'Draw the queue' }).click();
  await expect(page.getByText(/^1 of \d+ read/)).toBeVisible();
  await page.keyboard.press('q');
  await openCase.waitFor(first);
  await expect(review.verdict('motion')).toHaveAttribute('aria-pressed', 'true');
  await expect(review.dock.getByLabel('Note')).toHaveValue('half a thought');

  // A random sample is drawn again by its seed.
  await page.keyboard.press('r');
  await page.getByRole('radio', { name: 'Random sample' }).check({ force: true });
  await page.getByLabel('Dropouts in the sample').fill('5');
  await page.getByLabel('Seed').fill('42');
  const drawn: string[] = [];
  for (let i = 0; i < 2; i++) {
    await page.getByRole('button', { name: 'Draw the queue' }).click();
    await expect(page.getByText('random sample of 5 with seed 42, over the whole library')).toBeVisible();
    await expect(review.queueRows).toHaveCount(5);
    drawn.push((await review.queueRows.allInnerTexts()).join('|').replace(/\s+/g, ' '));
  }
  expect(drawn[0]).toBe(drawn[1]);
});

test('a second reader does not see the first until the reveal, which is told; flags and the whole case', async ({ frame, library, openCase, review, page }) => {
  const judge = async (name: string, keys: string): Promise<void> => {
    await review.readAs(name);
    await page.keyboard.press('l');
    await library.openCase('K05-move-to-nasal-ala');
    await openCase.waitFor('K05-move-to-nasal-ala');
    if (!(await review.dock.locator('.verdict-form').isVisible())) await page.keyboard.press('j');
    await openCase.dropouts.first().press('Enter');
    for (const key of keys) await page.keyboard.press(key);
    await expect(review.savedState).toHaveText(/: saved/);
  };
  await judge('Cleo', '7fw');
  await page.keyboard.press('r');
  await page.getByRole('button', { name: 'Change…' }).click();
  await judge('Dan', 'zgw');
  await expect(review.dock).toContainText('One other reader has said something of this case');
  await expect(review.dock).not.toContainText('sensor off or displaced, certain');
  await expect(openCase.dropouts.first().locator('.verdict-cell')).toContainText('no loss');

  await review.dock.getByRole('button', { name: 'Whole case…' }).click();
  const dialog = page.getByRole('dialog', { name: 'Review of K05-move-to-nasal-ala' });
  await dialog.getByLabel('worth discussing').check();
  await dialog.getByRole('button', { name: 'Save the flags' }).click();
  await expect(dialog.getByText(/^Saved \d\d:\d\d:\d\d\.$/)).toBeVisible();
  expect(await frame.seriousFindings(), 'whole case').toEqual([]);
  await page.keyboard.press('Escape');

  await review.dock.getByRole('button', { name: 'Reveal it now…' }).click();
  await expect(page.getByRole('dialog')).toContainText('your verdicts on this case are no blinded readings');
  await page.getByRole('button', { name: 'Show it' }).click();
  await expect(review.dock).toContainText('Cleo, blinded: sensor off or displaced, certain');
  await expect(openCase.dropouts.first().locator('.verdict-cell')).toContainText('disputed');
  await frame.goTo('Library');
  await expect(library.row('K05-move-to-nasal-ala')).toContainText('1 disputed');
  await expect(library.row('K05-move-to-nasal-ala')).toContainText('worth discussing');
  await page.getByRole('search', { name: 'Filter the cases' }).getByLabel('Review').selectOption('disputed');
  await expect(library.counts).toContainText('1 of');
});

test('a verdict that the host cannot write stays as a draft, and says what to do', async ({ library, openCase, review, page }) => {
  await review.readAs('Eva');
  await page.keyboard.press('l');
  await library.openCase('K01-fade-after-bolus');
  await openCase.waitFor('K01-fade-after-bolus');
  await page.keyboard.press('j');
  await page.keyboard.press('n');
  // The way to the host is cut for this one call; the host itself is the real one.
  await page.route('**/*giveVerdict*', (route) => route.abort());
  await page.keyboard.press('4');
  await page.keyboard.press('f');
  await page.keyboard.press('w');
  await expect(review.dock.getByRole('alert')).toContainText('The verdict is not saved.');
  await expect(review.dock.getByRole('alert')).toContainText('Your draft stays here');
  await expect(review.savedState).toHaveText('NOT saved');
  await page.unroute('**/*giveVerdict*');
  await review.dock.getByRole('button', { name: 'Try again' }).press('Enter');
  await expect(review.savedState).toHaveText(/^low perfusion, certain: saved/);
});

for (const theme of ['Light', 'Dark'] as const) {
  test(`the review in the ${theme.toLowerCase()} theme passes axe`, async ({ frame, review, library, openCase, page }) => {
    await frame.choose(theme);
    await page.keyboard.press('r');
    expect(await frame.seriousFindings(), 'who reads').toEqual([]);
    await review.readAs(`Fay ${theme}`);
    await page.getByRole('radio', { name: 'Random sample' }).check({ force: true });
    await page.getByRole('button', { name: 'Draw the queue' }).click();
    await expect(review.queueRows.first()).toBeVisible();
    expect(await frame.seriousFindings(), 'queue').toEqual([]);
    await review.showPart('Trail');
    await page.getByRole('button', { name: 'Check the whole trail' }).click();
    await expect(page.getByRole('region', { name: 'Check of the trail' })).toContainText(/was not altered|follow one another|empty/);
    expect(await frame.seriousFindings(), 'trail').toEqual([]);
    await page.keyboard.press('l');
    await library.openCase('K02-arms-tucked');
    await openCase.waitFor('K02-arms-tucked');
    await page.keyboard.press('j');
    await page.keyboard.press('n');
    for (const key of '5gB') await page.keyboard.press(key);
    await expect(page.getByLabel('First good', { exact: true })).toBeVisible();
    expect(await frame.seriousFindings(), 'form with bounds').toEqual([]);
  });
}
