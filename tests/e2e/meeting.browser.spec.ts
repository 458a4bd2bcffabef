import AxeBuilder from '@axe-core/playwright';
import type { Page } from '@playwright/test';
import { expect, test } from './fixtures.ts';
import { textFile } from './pages/import-page.ts';

/** Nothing serious or critical by axe on whatever page. */
async function seriousFindings(page: Page): Promise<string[]> {
  const { violations } = await new AxeBuilder({ page }).analyze();
  return violations.filter(({ impact }) => impact === 'serious' || impact === 'critical').flatMap(({ id, nodes }) => nodes.map((node) => `${id}: ${node.target.join(' ')} ${node.failureSummary ?? ''}`));
}

/* An invented case whose name, date and clock would all tell: 30 min at a value every second from 09:14 on, SpO2 lost from 600 s to 659 s and from 1200 s to 1289 s. */
const CASE_NAME = 'Quillfeather-theatre9';
const isLost = (s: number): boolean => (s >= 600 && s < 660) || (s >= 1200 && s < 1290);
const EXPORT = textFile(
  `${CASE_NAME}.csv`,
  `Time,SpO2 finger (%),HR (/min)\n${Array.from({ length: 1800 }, (_, s) => `2031-08-05 09:${String(14 + Math.floor(s / 60)).padStart(2, '0')}:${String(s % 60).padStart(2, '0')},${isLost(s) ? '' : 96 + (s % 3)},${70 + (s % 5)}`).join('\n')}\n`,
);
const TELLING = /Quillfeather|theatre|\.csv|2031|August|09:\d\d/i;

/** Presses Tab until what is named has the focus, as a person without a mouse does. */
async function tabTo(page: Page, name: string): Promise<void> {
  const target = page.getByRole('button', { name, exact: true });
  for (let i = 0; i < 60; i++) {
    if (await target.evaluate((element) => element === document.activeElement)) return;
    await page.keyboard.press('Tab');
  }
  throw new Error(`the Tab key does not reach “${name}”`);
}

test('a story is collected, put in order and presented without the mouse; nobody’s name reaches the screen; a case that goes leaves its moments', async ({ frame, imports, library, openCase, page }) => {
  test.setTimeout(240_000);
  await frame.goTo('Import');
  await imports.chooseFiles([EXPORT]);
  await imports.waitForReport();

  // From here on the keyboard alone.
  await page.keyboard.press('Shift+M');
  await expect(page.getByRole('heading', { name: 'No story yet' })).toBeVisible();
  expect(await frame.seriousFindings(), 'no story').toEqual([]);
  await page.keyboard.press('l');
  await library.row(CASE_NAME).focus();
  await page.keyboard.press('Enter');
  await openCase.waitFor(CASE_NAME);
  await page.keyboard.press('n');
  await expect(openCase.chosen).toHaveCount(1);
  await page.keyboard.press('Shift+C');
  await expect(page.getByLabel('Title of the new story')).toBeFocused();
  expect(await frame.seriousFindings(), 'collecting').toEqual([]);
  await page.keyboard.type('A minute without SpO2');
  // Derived: first lost 600 s and first good 660 s after the first row; at one value a second the loss lasted between 59 and 61 s.
  await expect(page.getByLabel('Text', { exact: true })).toHaveValue(/^No SpO2 at the finger from \+0:10:00 of the record; back there at \+0:11:00, lost between 59 s and 1 min 1 s\./);
  await page.getByLabel('Notes for the presenter').focus();
  await page.keyboard.type('Pause here.');
  await tabTo(page, 'Collect');
  await page.keyboard.press('Enter');
  await expect(page.getByRole('dialog')).toHaveCount(0);
  await page.keyboard.press('n');
  await page.keyboard.press('Shift+C');
  await expect(page.getByLabel('Into the story')).toHaveText(/A minute without SpO2/);
  await page.getByLabel('Title', { exact: true }).focus();
  await page.keyboard.press('Enter');
  await expect(page.getByRole('dialog')).toHaveCount(0);

  await page.keyboard.press('Shift+M');
  await page.getByRole('button', { name: 'A minute without SpO2', exact: true }).focus();
  await page.keyboard.press('Enter');
  const moments = page.locator('.story-moment');
  await expect(moments).toHaveText(['1. finger: SpO2 lost at +0:10:00Case A', '2. finger: SpO2 lost at +0:20:00Case A']);
  await page.getByRole('button', { name: 'Add words to Recommendations' }).focus();
  await page.keyboard.press('Enter');
  await expect(moments).toHaveCount(3);
  await page.getByLabel('Text', { exact: true }).focus();
  await page.keyboard.type('A second sensor before the arms are tucked.');
  await moments.nth(2).focus();
  await page.keyboard.press('ArrowUp');
  await expect(moments.nth(1)).toHaveAttribute('aria-current', 'true');
  // The second comes before the first, then into the part before.
  await page.keyboard.press('Alt+ArrowUp');
  await expect(moments.first()).toHaveText(/0:20:00/);
  await expect(moments.first()).toBeFocused();
  await page.keyboard.press('Alt+ArrowUp');
  await expect(page.getByRole('region', { name: 'Background' }).locator('.story-moment')).toHaveText(/0:20:00/);
  await expect(page.locator('.moment-preview .tl-root')).toHaveAttribute('data-drawn', 'true');
  expect(await frame.seriousFindings(), 'editor').toEqual([]);

  await tabTo(page, 'Present…').catch(async () => {
    await page.keyboard.press('Control+Home');
    await tabTo(page, 'Present…');
  });
  await page.keyboard.press('Enter');
  const dialog = page.getByRole('dialog');
  await expect(dialog).toContainText('the name of the case');
  await expect(dialog).toContainText('the date and the clock');
  await dialog.getByRole('checkbox', { name: /^Hide what came after/ }).focus();
  await page.keyboard.press('Space');
  await page.getByRole('checkbox', { name: 'Fill the screen' }).focus();
  await page.keyboard.press('Space');
  expect(await frame.seriousFindings(), 'before presenting').toEqual([]);
  await tabTo(page, 'Present');
  await page.keyboard.press('Enter');

  const screen = page.getByRole('main', { name: 'Presentation' });
  const texts = async (shown: Page): Promise<string> => shown.evaluate(() => [document.title, document.documentElement.outerHTML.replace(/<style[\s\S]*?<\/style>/g, '')].join('\n'));
  // Before the first moment: what is asked, of which cases, under which definition, with the text of local policy.
  await expect(screen).toHaveAttribute('data-state', 'beginning');
  await expect(screen).toContainText('1 case: Case A. Times count from the first row of each.');
  await expect(screen).toContainText('a dropout is a loss of at least 30 s');
  await expect(screen.locator('.presenting-frame-policy')).toContainText('Confidential');
  expect(await texts(page)).not.toMatch(TELLING);
  expect(await seriousFindings(page), 'beginning').toEqual([]);
  await page.keyboard.press('PageDown');
  await expect(screen).toHaveAttribute('data-state', 'shown');
  await expect(screen).toContainText('As recorded until +0:20:00. What came after is not shown.');
  await expect(page.locator('.tl-root')).toHaveAttribute('data-drawn', 'true');
  expect(await texts(page)).not.toMatch(TELLING);
  expect(await seriousFindings(page), 'presenting').toEqual([]);

  // What came after: the second dropout is not there until it is revealed.
  await page.keyboard.press('n');
  await expect(page.locator('.tl-unseen')).toContainText('Dropout 1 of 1');
  await page.keyboard.press('r');
  await expect(screen).not.toContainText('What came after is not shown.');
  await expect(page.locator('.tl-root')).toHaveAttribute('data-drawn', 'true');
  await expect(page.locator('.tl-unseen')).toContainText('Dropout 2 of 2, finger, +0:20:00');
  // The timeline is live, and one key brings the collected view back.
  const axis = page.locator('.tl-axis');
  const collected = await axis.screenshot();
  await page.keyboard.press('0');
  await expect.poll(async () => (await axis.screenshot()).equals(collected)).toBe(false);
  await page.keyboard.press('v');
  await expect.poll(async () => (await axis.screenshot()).equals(collected)).toBe(true);

  await page.keyboard.press('PageDown');
  await expect(screen).toHaveAttribute('data-moment', '1');
  await page.keyboard.press('b');
  await expect(screen).not.toContainText('SpO2 lost');
  await page.keyboard.press('b');
  await page.keyboard.press('?');
  await expect(dialog).toContainText('Black screen');
  await page.keyboard.press('Escape');

  // The presenter's window shows the notes and what comes next, and its keys move the screen.
  const [presenter] = await Promise.all([page.waitForEvent('popup'), page.keyboard.press('w')]);
  await expect(presenter.getByRole('heading', { name: 'Notes' })).toBeVisible();
  await expect(presenter.locator('.presenter')).toContainText('Pause here.');
  await expect(presenter.locator('.presenter')).toContainText('Moment 2 of 3');
  await expect(presenter.locator('.presenter')).toContainText('Recommendations: Recommendations');
  await expect(presenter.locator('.presenter-time')).toHaveText(/^0\smin\s\d\d\ss of 12\smin planned, 11\smin\s\d\d\ss left$/);
  expect(await seriousFindings(presenter), 'presenter').toEqual([]);
  expect(await texts(presenter)).not.toMatch(TELLING);
  // Asked for once more it comes to the front, and what is drawn in it stays.
  await page.keyboard.press('w');
  await expect(presenter.locator('.presenter')).toContainText('Pause here.');
  await presenter.keyboard.press('PageDown');
  await expect(screen).toHaveAttribute('data-moment', '2');
  await expect(screen).toContainText('A second sensor before the arms are tucked.');
  await presenter.keyboard.press('Shift+PageUp');
  await expect(screen).toHaveAttribute('data-moment', '1');
  await presenter.close();
  // With one screen the same stands beside the picture.
  await page.keyboard.press('o');
  await expect(screen.locator('.presenter')).toContainText('Pause here.');
  expect(await seriousFindings(page), 'notes on this screen').toEqual([]);
  expect(await texts(page)).not.toMatch(TELLING);
  await page.keyboard.press('q');
  await expect(page.getByRole('heading', { level: 1, name: 'A minute without SpO2' })).toBeVisible();
  await expect(page.getByRole('button', { name: 'Present…' })).toBeFocused();

  // The view is taken anew in the case: the whole of it.
  await moments.first().focus();
  await page.keyboard.press('ArrowDown');
  await expect(moments.nth(1)).toHaveAttribute('aria-current', 'true');
  await tabTo(page, 'Take the view anew…');
  await page.keyboard.press('Enter');
  await openCase.waitFor(CASE_NAME);
  await page.keyboard.press('0');
  await tabTo(page, 'Take this view');
  await page.keyboard.press('Enter');
  await expect(page.getByRole('heading', { level: 1, name: 'A minute without SpO2' })).toBeVisible();
  await expect(moments.nth(1)).toHaveAttribute('aria-current', 'true');

  // The case goes; its moments stay and say so.
  await page.keyboard.press('l');
  await library.remove(CASE_NAME);
  await page.keyboard.press('Shift+M');
  await expect(moments.nth(1)).toHaveText(/cannot be shown/);
  await expect(page.getByText('Its case is no longer in the library. The words stay.').first()).toBeVisible();
  await page.getByRole('button', { name: '‹ All stories' }).click();
  await page.getByRole('button', { name: 'Remove “A minute without SpO2”' }).click();
  await page.getByRole('button', { name: 'Remove the story' }).click();
  await expect(page.getByRole('heading', { name: 'No story yet' })).toBeVisible();
});
