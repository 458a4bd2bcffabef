import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from './fixtures.ts';

const SAMPLES = fileURLToPath(new URL('../../sample-cases/cases/', import.meta.url));

/** A story of words that hold what is asked about before it leaves, and an action: what the meeting's screens need to be looked at. */
const STORY = {
  storyId: '0'.repeat(31) + '1', revision: 0, title: 'Arms tucked', question: 'Who looked?', minutesPerCase: 12, hidesLater: false,
  moments: [{ momentId: '0'.repeat(31) + '2', part: 'situation', factor: null, title: 'What was seen', text: 'Told by Quillfeather at 14:32 on 3 March 2031.', notes: 'Pause.', view: null }],
};
const ACTION = { today: '2031-05-02', draft: { what: 'A second sensor before the arms are tucked', ownerRole: 'lead for monitoring', due: '2031-04-01', chartId: null }, origin: { kind: 'by hand' }, saidNoPerson: false };

/* WCAG 2.x rules as axe-core checks them; nothing serious or critical may stand on any screen in either theme. One walk: every screen is come to once. */
test('every screen passes axe in both themes', async ({ frame, library, openCase, imports, page }) => {
  test.setTimeout(300_000);
  const passes = async (what: string): Promise<void> => expect.soft(await frame.findingsInBothThemes(), what).toEqual([]);
  // The tests of the case screen look at these in the light theme as they come to them.
  const passesInTheDark = async (what: string): Promise<void> => expect.soft(await frame.darkFindings(), what).toEqual([]);
  await passes('library');
  await library.openCase('K06-finger-and-ear');
  await openCase.waitFor('K06-finger-and-ear');
  await page.keyboard.press('n');
  await expect(openCase.chosen).toHaveCount(1);
  await passes('case with a dropout chosen');
  await page.locator('.tl-stage').focus();
  for (const key of ['e', 'm', 'Alt+ArrowRight', 'm']) await page.keyboard.press(key);
  await expect(page.getByRole('region', { name: 'Measured' })).toBeVisible();
  await page.locator('summary', { hasText: 'Lanes' }).click();
  await passesInTheDark('measured, lanes, what cannot be excluded');
  await page.locator('summary', { hasText: 'Lanes' }).click();
  await page.locator('.tl-stage').focus();
  await page.keyboard.press('k');
  await page.getByRole('textbox', { name: /^Note of mark 1/ }).fill('Who saw it?');
  await page.locator('.tl-stage').press('t');
  await passesInTheDark('marks, table of the timeline');
  await page.locator('.tl-tables').press('t');
  await page.locator('.tl-stage').press('e');
  await page.getByRole('button', { name: 'Remove mark 1' }).click();
  await page.getByRole('button', { name: 'Compare' }).click();
  await page.locator('summary', { hasText: 'Both in a table' }).click();
  await passesInTheDark('compare');
  await page.getByRole('button', { name: 'Back to the timeline' }).click();
  await page.getByRole('button', { name: 'Case sheet' }).click();
  await expect(page.getByRole('dialog')).toContainText('cannot be excluded');
  await passesInTheDark('case sheet');
  await page.keyboard.press('Escape');
  for (const list of ['Low SpO2', 'Restored', 'Exposures', 'Blind', 'Record gaps'] as const) {
    await openCase.showList(list);
    await passes(list);
  }
  await page.getByRole('button', { name: /^Record: / }).click();
  await passes('record');
  await page.keyboard.press('Escape');

  for (const [method, body] of [['keepStory', { story: STORY }], ['addAction', ACTION]] as const) {
    const isKept = await page.evaluate(async ([name, args]) => {
      const answer = await fetch(`/api/${String(name)}`, { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(args) });
      return ((await answer.json()) as { ok: boolean }).ok;
    }, [method, body] as const);
    expect(isKept, method).toBe(true);
  }
  await page.keyboard.press('Shift+M');
  const part = (name: RegExp) => page.getByRole('navigation', { name: 'Parts of the meeting' }).getByRole('button', { name });
  await expect(page.getByRole('button', { name: STORY.title, exact: true })).toBeVisible();
  await passes('stories');
  await page.getByRole('button', { name: STORY.title, exact: true }).click();
  await passesInTheDark('a story');
  await page.getByRole('button', { name: 'Slides and pictures…' }).click();
  await expect(page.getByRole('dialog').getByRole('region', { name: 'May be names' })).toBeVisible();
  await passesInTheDark('what would go out');
  await page.keyboard.press('Escape');
  await part(/^Actions/).click();
  await expect(page.getByRole('button', { name: ACTION.draft.what })).toBeVisible();
  await passesInTheDark('actions');
  await part(/^Reports/).click();
  await expect(page.getByRole('button', { name: 'Make the report' })).toBeVisible();
  await passes('reports');

  await frame.goTo('Definitions');
  await passes('definitions');
  await frame.goTo('About');
  await passes('about');
  await page.keyboard.press('?');
  await passes('keys');
  await page.keyboard.press('Escape');
  await frame.goTo('Import');
  await passes('import');
  await imports.chooseFolder(join(SAMPLES, 'K12-messy-file'));
  await imports.waitForReport();
  await passes('import report');
});

test('at letters of twice the size nothing is cut off and the window does not scroll sideways', async ({ frame, page }) => {
  // 1280 × 800 at 200 %: half of it in CSS pixels (WCAG 1.4.4).
  await page.setViewportSize({ width: 640, height: 400 });
  for (const place of ['Library', 'Cohort', 'Review', 'Meeting', 'Import', 'Definitions', 'About'] as const) {
    await frame.goTo(place);
    await expect(frame.places.getByRole('button', { name: new RegExp(`^${place}`) })).toHaveAttribute('aria-current', 'page');
    expect(await page.evaluate(() => document.documentElement.scrollWidth), place).toBeLessThanOrEqual(640);
    // Every place and what stands at the right edge is reached by the eye.
    for (const name of ['About', 'Help']) await expect(page.getByRole('banner').getByRole('button', { name })).toBeInViewport({ ratio: 1 });
    const main = await page.getByRole('main').boundingBox();
    expect(main?.height, `${place}: room for what it shows`).toBeGreaterThan(200);
  }
});

test('the window is worked without a pointer', async ({ frame, library, openCase, page }) => {
  await page.keyboard.press('i');
  await expect(page.getByRole('heading', { level: 1, name: 'Import' })).toBeVisible();
  await page.keyboard.press('l');
  await library.rows.first().focus();
  await page.keyboard.press('Enter');
  await expect(openCase.timeline).toBeVisible();
  await page.keyboard.press('?');
  await expect(page.getByRole('dialog', { name: 'Keys' })).toBeVisible();
  await expect(page.getByRole('dialog').getByRole('button', { name: 'Close' })).toBeFocused();
  await page.keyboard.press('d');
  await expect(page.getByRole('dialog', { name: 'Keys' })).toBeVisible();
  await page.keyboard.press('Escape');
  await page.keyboard.press('d');
  await expect(page.getByRole('heading', { level: 1, name: 'Definitions' })).toBeVisible();
  await expect(frame.places.getByRole('button', { name: 'Definitions' })).toHaveAttribute('aria-current', 'page');
});

test('keys typed into a field are text, not commands', async ({ library, page }) => {
  await page.getByLabel('Name or file holds').pressSequentially('indicate');
  await expect(page.getByRole('heading', { level: 1, name: 'Library' })).toBeVisible();
  await expect(library.counts).toContainText('0 of 19 cases');
});

test('the theme is kept for the next window', async ({ frame, workstation, context }) => {
  await frame.choose('Dark');
  const second = await context.newPage();
  await second.goto(workstation.address);
  await expect(second.locator('html')).toHaveAttribute('data-theme', 'dark');
});
