import { join } from 'node:path';
import type { Story } from '../../core/model/story.ts';
import { SIZES, walk, type Choice, type Screens } from './look.ts';

const AREA = 'meeting';
const READ_MS = 90_000;
const MADE_MS = 60_000;
/** For what differs from another state in few words. */
const SMALL: Choice = { sizes: [SIZES[0]], whole: false, enlarged: false };
/** A presentation is shown on a wall: nothing lies below the fold. */
const WALL: Choice = { whole: false, enlarged: false };
const TUCKED = 'Both arms tucked';
const LONG_TITLE = /^A story whose title/;

async function storyCalled(screens: Screens, title: string | RegExp): Promise<Story> {
  const story = (await screens.call('listStories', null)).find((one) => (typeof title === 'string' ? one.title === title : title.test(one.title)));
  if (story === undefined) throw new Error(`no story ${title.toString()}`);
  return story;
}

async function openStory({ page }: Screens, title: string | RegExp): Promise<void> {
  const back = page.getByRole('button', { name: '‹ All stories' });
  if ((await back.count()) > 0) await back.click();
  await page.getByRole('table').getByRole('button', { name: title, exact: true }).first().click();
  await page.getByLabel('Question to the meeting').waitFor();
}

async function present({ page }: Screens): Promise<void> {
  await page.getByRole('button', { name: 'Present…' }).click();
  const dialog = page.getByRole('dialog');
  // A window that fills the screen has no size of ours.
  await dialog.getByRole('checkbox', { name: 'Fill the screen' }).uncheck({ force: true });
  await dialog.getByRole('button', { name: 'Present', exact: true }).click();
  await page.getByText('Definition in force').waitFor();
}

/** Goes to the next moment and waits until it stands. */
async function next({ page }: Screens): Promise<void> {
  await page.keyboard.press('PageDown');
  await page.locator('.presenting:is([data-state="words"], [data-state="shown"], [data-state="not shown"], [data-state="end"])').waitFor();
}

const drawn = ({ page }: Screens): Promise<void> => page.locator('main .tl-root[data-drawn="true"]').first().waitFor();

/** Pins an instant and a span with notes to every case of the story, one of which names somebody. */
async function pinMarks(screens: Screens): Promise<void> {
  const { moments } = await storyCalled(screens, TUCKED);
  for (const [i, { view }] of moments.entries()) {
    if (view === null || view.instantMs === null) continue;
    const { caseKey, clock, instantMs } = view;
    const markId = (end: string): string => `${i.toString(16)}${end}`.repeat(16);
    await screens.call('keepMark', { caseKey, mark: { markId: markId('a'), clock, startMs: instantMs - 60_000, endMs: null, text: 'Dr Quillfeather asked for a second sensor here.' } });
    await screens.call('keepMark', { caseKey, mark: { markId: markId('b'), clock, startMs: instantMs + 20_000, endMs: instantMs + 80_000, text: 'Nobody looked at the pulse lane, the drapes were going up.' } });
  }
}

walk(AREA, 'stories and the editor', { library: 'seeded' }, async (screens) => {
  const { page } = screens;
  const dialog = page.getByRole('dialog');
  await page.getByText(/116 cases/).first().waitFor({ timeout: READ_MS });

  await screens.part('list of stories', async () => {
    const goOn = await screens.hold('listStories');
    await screens.goTo('Meeting');
    await screens.see('stories-reading', SMALL);
    await goOn();
    await page.getByRole('button', { name: TUCKED, exact: true }).waitFor();
    await screens.see('stories');
  });

  await screens.part('new, renamed and removed stories', async () => {
    await page.getByRole('button', { name: 'New story…' }).first().click();
    await screens.see('story-new', { whole: false });
    await dialog.getByLabel('Title').fill('x'.repeat(230));
    await screens.see('story-new-too-long', SMALL);
    await dialog.getByLabel('Title').fill('Cold hands');
    const keeps = await screens.fail('keepStory');
    await dialog.getByRole('button', { name: 'Make the story' }).click();
    await page.getByText('It is not kept.').waitFor();
    await screens.see('story-new-failed', { whole: false });
    await keeps();
    await page.keyboard.press('Escape');
    await page.getByRole('button', { name: /^Rename “A story whose/ }).click();
    await screens.see('story-rename', SMALL);
    await page.keyboard.press('Escape');
    await page.getByRole('button', { name: /^Remove “A story whose/ }).click();
    await screens.see('story-remove', { whole: false });
    const removes = await screens.fail('removeStory');
    await dialog.getByRole('button', { name: 'Remove the story' }).click();
    await page.getByText('It is not removed.').waitFor();
    await screens.see('story-remove-failed', SMALL);
    await removes();
    await page.keyboard.press('Escape');
  });

  await screens.part('list that cannot be read', async () => {
    const reads = await screens.fail('listStories', { code: 'stories-damaged', message: 'The stories of the library cannot be read.', remedy: 'Restore them from a backup. Nothing is written over what is there.' });
    await page.reload();
    await page.getByText(/116 cases/).first().waitFor({ timeout: READ_MS });
    await screens.goTo('Meeting');
    await page.getByText('The stories could not be read.').waitFor();
    await screens.see('stories-failed', { whole: false });
    await reads();
    await page.getByRole('button', { name: 'Read the stories again' }).click();
    await page.getByRole('button', { name: TUCKED, exact: true }).waitFor();
  });

  await screens.part('editor', async () => {
    await openStory(screens, TUCKED);
    await page.locator('.story-moment').nth(1).click();
    await drawn(screens);
    await screens.see('editor-view');
    await page.getByRole('checkbox', { name: /Show the marks and notes/ }).click();
    await page.getByText('Nothing is pinned to this case yet').waitFor();
    await screens.see('editor-no-marks', SMALL);
    await pinMarks(screens);
    await openStory(screens, TUCKED);
    await page.locator('.story-moment').nth(1).click();
    await page.getByText('is left out of them').waitFor();
    await drawn(screens);
    await screens.see('editor-marks');
    await page.getByRole('button', { name: 'What the meeting does not see of this case' }).click();
    await screens.see('editor-hidden-things', SMALL);
    await page.locator('.story-moment').last().click();
    await screens.see('editor-words');
    await page.getByRole('button', { name: 'Add words to Contributing factors' }).click();
    await page.getByLabel('Where it lies').waitFor();
    await screens.see('editor-factor', SMALL);
    await page.getByRole('button', { name: 'Remove…' }).click();
    await screens.see('moment-remove', SMALL);
    await dialog.getByRole('button', { name: 'Remove the moment' }).click();
    await openStory(screens, 'Empty one');
    await screens.see('editor-empty');
    await openStory(screens, 'Sixty moments');
    await drawn(screens);
    await screens.see('editor-sixty');
    await openStory(screens, LONG_TITLE);
    await drawn(screens);
    await screens.see('editor-long-title', { whole: false });
  });

  await screens.part('editor, when something goes wrong', async () => {
    await openStory(screens, TUCKED);
    await page.locator('.story-moment').nth(1).click();
    const keeps = await screens.fail('keepStory');
    await page.getByLabel('Text', { exact: true }).fill('Text that the disk does not take');
    await page.getByText('The last change is not kept.').waitFor();
    await screens.see('editor-not-kept', { whole: false });
    await keeps();
    await page.getByLabel('Text', { exact: true }).fill('Text that is kept');
    await page.getByText('The last change is not kept.').waitFor({ state: 'detached' });
    await page.getByLabel('Title', { exact: true }).fill('Half typed in this window');
    const story = await storyCalled(screens, TUCKED);
    const chosen = story.moments.find(({ view }) => view !== null);
    await screens.call('keepStory', { story: { ...story, moments: story.moments.map((one) => (one === chosen ? { ...one, title: 'Written in the other window' } : one)) } });
    await page.getByLabel('Title', { exact: true }).fill('Typed on in this window');
    await page.getByText('another window wrote').waitFor();
    await screens.see('editor-two-windows', { whole: false });
    await openStory(screens, LONG_TITLE);
    await screens.call('removeStory', { storyId: (await storyCalled(screens, LONG_TITLE)).storyId });
    await page.getByLabel('Question to the meeting').fill('Asked too late');
    await page.getByText('That did not succeed.').waitFor();
    await screens.see('stories-removed-elsewhere', SMALL);
    await page.getByRole('button', { name: 'Dismiss' }).click();
  });

  await screens.part('slides and pictures', async () => {
    await openStory(screens, TUCKED);
    const goOn = await screens.hold('storyDeck');
    await page.getByRole('button', { name: 'Slides and pictures…' }).click();
    await screens.see('slides-making', SMALL);
    await goOn();
    await dialog.getByRole('button', { name: 'Save as PDF' }).waitFor({ timeout: MADE_MS });
    await page.getByText('Listing every word…').waitFor({ state: 'detached', timeout: MADE_MS });
    await screens.see('slides');
    await dialog.getByText('marks and notes pinned to the cases are shown').click();
    await dialog.getByText('each picture first as recorded until its instant').click();
    await dialog.getByText('Quillfeather').first().waitFor({ timeout: MADE_MS });
    await screens.see('slides-asked');
    await page.keyboard.press('Escape');
    const makes = await screens.fail('storyDeck');
    await page.getByRole('button', { name: 'Slides and pictures…' }).click();
    await page.getByText('The slides could not be made.').waitFor();
    await screens.see('slides-failed', SMALL);
    await makes();
    await page.keyboard.press('Escape');
  });

  await screens.part('collecting a moment', async () => {
    await screens.goTo('Library');
    await page.getByLabel('Name or file holds').fill('K07');
    await page.getByRole('button', { name: 'K07-blind-interval', exact: true }).click();
    await drawn(screens);
    await page.locator('.tl-stage').focus();
    await page.keyboard.press('n');
    await page.keyboard.press('Shift+C');
    await dialog.getByLabel('Title', { exact: true }).waitFor();
    await screens.see('collect');
    const keeps = await screens.fail('keepStory');
    await dialog.getByRole('button', { name: 'Collect' }).click();
    await page.getByText('It is not collected.').waitFor();
    await screens.see('collect-failed', { whole: false });
    await keeps();
    await dialog.getByLabel('Into the story').selectOption({ label: 'A new story…' });
    await screens.see('collect-into-new', SMALL);
    await page.keyboard.press('Escape');
    await screens.goTo('Meeting');
    await openStory(screens, TUCKED);
    await page.locator('.story-moment').nth(1).click();
    await page.getByRole('button', { name: 'Take the view anew…' }).click();
    await drawn(screens);
    await screens.see('view-anew', { whole: false });
  });
});

walk(AREA, 'presenting', { library: 'seeded' }, async (screens) => {
  const { page } = screens;
  await page.getByText(/116 cases/).first().waitFor({ timeout: READ_MS });
  await screens.goTo('Meeting');
  const story = await storyCalled(screens, TUCKED);
  await pinMarks(screens);
  await screens.call('keepStory', { story: { ...story, moments: story.moments.map((one, i) => ({ ...one, showsMarks: one.view !== null, ...(i === 1 ? { text: 'Dr Quillfeather saw it at 14:32 in theatre 7.' } : {}) })) } });
  await page.reload();
  await page.getByText(/116 cases/).first().waitFor({ timeout: READ_MS });
  await screens.goTo('Meeting');

  await screens.part('before it begins', async () => {
    await openStory(screens, TUCKED);
    await page.getByRole('button', { name: 'Present…' }).click();
    await page.getByRole('dialog').getByRole('heading', { name: 'Case D' }).waitFor();
    await screens.see('present');
    await page.keyboard.press('Escape');
  });

  await screens.part('moments', async () => {
    await present(screens);
    await screens.see('presenting-beginning', WALL);
    await next(screens);
    await screens.see('presenting-words', WALL);
    for (const [i, which] of ['a', 'b', 'c', 'd'].entries()) {
      await next(screens);
      await drawn(screens);
      await screens.see(`presenting-view-${which}-then`, i < 2 ? WALL : SMALL);
      await page.keyboard.press('r');
      await page.locator('.moment-screen-then').waitFor({ state: 'detached' });
      await drawn(screens);
      await screens.see(`presenting-view-${which}-all`, WALL);
    }
    await page.keyboard.press('o');
    await screens.see('presenting-with-notes', WALL);
    await page.keyboard.press('o');
    await page.keyboard.press('t');
    await page.getByText('Dropouts in this window').waitFor();
    await screens.see('presenting-table', WALL);
    await page.keyboard.press('t');
    await page.keyboard.press('?');
    await screens.see('presenting-keys', WALL);
    await page.keyboard.press('Escape');
    await page.keyboard.press('b');
    await screens.see('presenting-black', SMALL);
    await page.keyboard.press('b');
  });

  await screens.part('presenter’s window', async () => {
    const [own] = await Promise.all([page.waitForEvent('popup'), page.keyboard.press('w')]);
    await own.getByRole('heading', { name: 'Notes' }).waitFor();
    for (const look of ['light', 'dark'] as const) {
      // Its look is that of the page that draws in it.
      await page.emulateMedia({ colorScheme: look });
      await screens.see(`presenter-window-in-${look}`, { looks: [look], whole: false, on: own });
    }
    await own.setViewportSize({ width: 960, height: 760 });
    await own.screenshot({ path: join(screens.folder, 'presenter-window-960.png') });
    await own.close();
  });

  await screens.part('end, and a whole story of sixty moments', async () => {
    for (let i = 0; i < 4; i += 1) await next(screens);
    await page.getByText('End of the story.').first().waitFor();
    await screens.see('presenting-end', WALL);
    await page.keyboard.press('q');
    await openStory(screens, 'Sixty moments');
    await page.getByRole('button', { name: 'Present…' }).click();
    await page.getByRole('dialog').getByRole('heading', { name: 'Case D' }).waitFor();
    await screens.see('present-sixty', SMALL);
    await page.keyboard.press('Escape');
    await present(screens);
    await next(screens);
    await drawn(screens);
    await page.keyboard.press('o');
    await screens.see('presenting-sixty-with-notes', WALL);
    await page.keyboard.press('o');
    for (let i = 1; i < 60; i += 1) {
      await next(screens);
      if ((await page.locator('.moment-screen h2').textContent())?.startsWith('A title that is so long') === true) break;
    }
    await screens.see('presenting-long-title', WALL);
    await page.keyboard.press('q');
  });
});

walk(AREA, 'without a story', { library: 'empty' }, async (screens) => {
  await screens.page.getByRole('heading', { level: 1, name: 'Library' }).waitFor();
  await screens.goTo('Meeting');
  await screens.page.getByRole('heading', { name: 'No story yet' }).waitFor();
  await screens.see('stories-none');
});
