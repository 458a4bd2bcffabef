/* Actions, the quality chart they are marked on, reports over cases, and the list of what would go out. */
import { randomUUID } from 'node:crypto';
import type { Locator, Page } from '@playwright/test';
import type { ActionEdit } from '../../core/model/action.ts';
import { isAsked, type ReleaseList } from '../../core/model/release.ts';
import { walk, type Choice, type Screens } from './look.ts';

const AREA = 'reports';
const PARTS = 'Parts of the meeting';
/** A state that is said in a line or two: once small in light, once large in dark. */
const SMALL: Choice = { sizes: [[1280, 800]], looks: ['light'], whole: false, enlarged: false };
const LARGE: Choice = { sizes: [[1920, 1080]], looks: ['dark'], whole: false, enlarged: false };
const UNREADABLE = { code: 'actions-damaged', message: 'The actions of the library cannot be read: actions.json is not of the format.', remedy: 'Put the last backup in its place.' };

async function seeState(screens: Screens, name: string): Promise<void> {
  await screens.see(name, SMALL);
  await screens.see(name, LARGE);
}

/** Takes what is longer than the window as it is scrolled through, a window at a time. */
async function seeAlong(screens: Screens, name: string, box: Locator, most = 12): Promise<void> {
  const { page } = screens;
  await page.setViewportSize({ width: 1280, height: 800 });
  for (let i = 0; i < most; i += 1) {
    const isEnd = await box.evaluate((element, at) => {
      element.scrollTop = at * (element.clientHeight - 40);
      return element.scrollTop + element.clientHeight >= element.scrollHeight - 1;
    }, i);
    await screens.see(`${name}-along-${String(i + 1).padStart(2, '0')}`, SMALL);
    if (isEnd) break;
  }
}

/** Chooses one of a row of choices by its words. */
async function choose(scope: Locator, words: string | RegExp): Promise<void> {
  await scope.locator('label', { hasText: words }).first().click();
}

async function openActions(screens: Screens): Promise<void> {
  await screens.goTo('Meeting');
  await screens.goToPart(PARTS, 'Actions');
}

async function reloadActions(screens: Screens): Promise<void> {
  await screens.page.reload();
  await openActions(screens);
}

/** Goes to the list, whatever an earlier part left open. */
async function listOf(page: Page): Promise<void> {
  const back = page.getByRole('button', { name: 'All actions' });
  if ((await back.count()) > 0) await back.click();
}

async function openAction(page: Page, what: RegExp): Promise<void> {
  await listOf(page);
  const settled = page.getByText(/^Closed and given up/);
  await page.getByRole('heading', { level: 1, name: 'Actions' }).waitFor();
  if ((await page.getByRole('button', { name: what }).count()) === 0) await settled.click();
  await page.getByRole('button', { name: what }).first().click();
}

/** Beside those of the seed: one that is measured with too few cases, and one that was closed after a change was taken back. */
async function writeMoreActions(screens: Screens): Promise<void> {
  const today = new Date().toISOString().slice(0, 10);
  const [chart] = await screens.call('listQualityCharts', null);
  const add = async (what: string, ownerRole: string, title: string | null): Promise<string> => {
    const origin = title === null ? ({ kind: 'by hand' } as const) : ({ kind: 'report', title } as const);
    return (await screens.call('addAction', { today, draft: { what, ownerRole, due: '2031-12-01', chartId: chart?.chartId ?? null }, origin, saidNoPerson: true })).actionId;
  };
  const editionOf = async (actionId: string): Promise<number> => (await screens.call('listActions', { today })).find(({ action }) => action.actionId === actionId)?.action.edition ?? 0;
  const edit = async (actionId: string, step: ActionEdit): Promise<void> => {
    await screens.call('editAction', { today, actionId, edition: await editionOf(actionId), saidNoPerson: true, edit: step });
  };
  const measure = async (actionId: string): Promise<void> => {
    await screens.call('measureAgain', { today, actionId, edition: await editionOf(actionId), jobId: randomUUID().replaceAll('-', '') });
  };
  const few = await add('Ear sensor kept warm in theatre', 'lead for monitoring', 'Department report: January 2030 to December 2031');
  await edit(few, { kind: 'say change', date: '2031-10-26', text: 'warmed sensors' });
  await measure(few);
  const closed = await add('Look at the pulse lane before the drapes go up', 'educational lead', null);
  await edit(closed, { kind: 'say change', date: '2030-06-01', text: 'poster in every theatre' });
  await edit(closed, { kind: 'take change back', reason: 'the posters came later' });
  await edit(closed, { kind: 'say change', date: '2031-04-01', text: 'poster in every theatre and a word at the briefing' });
  await measure(closed);
  await edit(closed, { kind: 'settle', as: 'closed', reason: 'seen in the meeting of July: fewer long losses' });
}

walk(AREA, 'actions', { library: 'seeded' }, async (screens) => {
  const { page } = screens;
  await page.getByText(/116 cases/).first().waitFor({ timeout: 90_000 });
  await writeMoreActions(screens);
  await screens.part('actions-loading', async () => {
    const go = await screens.hold('listActions');
    await reloadActions(screens);
    await seeState(screens, 'actions-loading');
    await go();
  });
  await screens.part('actions-failed', async () => {
    const end = await screens.fail('listActions', UNREADABLE);
    await reloadActions(screens);
    await page.getByRole('alert').waitFor();
    await seeState(screens, 'actions-failed');
    await end();
    await page.getByRole('button', { name: 'Read the actions again' }).click();
  });
  await screens.part('actions', async () => {
    await page.getByRole('button', { name: /^Second sensor/ }).waitFor();
    await screens.see('actions');
    await page.getByLabel('Show', { exact: true }).selectOption('changed');
    await seeState(screens, 'actions-changed-only');
    await page.getByLabel('Action, owner or chart holds').fill('zzz');
    await seeState(screens, 'actions-none-fits');
    await page.getByLabel('Action, owner or chart holds').fill('');
    await page.getByLabel('Show', { exact: true }).selectOption('all');
    await page.getByText(/^Closed and given up/).click();
    await seeAlong(screens, 'actions-settled', page.locator('main'));
  });
  await screens.part('action-form', async () => {
    await page.getByRole('button', { name: 'Write an action…' }).click();
    await screens.see('action-form');
    await page.getByLabel('What is to be done').fill('Ask Dr Keller about the new sensors, and whether everybody who tucks an arm looks, before the drapes go up, whether the pulse lane still shows what it showed before, and says so aloud');
    await page.getByLabel('Owner: a role').fill('Dr Keller');
    await page.getByRole('button', { name: 'Keep the action' }).click();
    await page.getByText('looks like it names a person').waitFor();
    await screens.see('action-person');
    await page.getByRole('button', { name: 'Change the text' }).click();
    await page.getByLabel('What is to be done').fill('Look at the pulse lane');
    await page.getByLabel('Owner: a role').fill('educational lead');
    const end = await screens.fail('addAction');
    await page.getByRole('button', { name: 'Keep the action' }).click();
    await page.getByRole('alert').waitFor();
    await seeState(screens, 'action-form-failed');
    await end();
    await page.getByRole('button', { name: 'Leave it' }).click();
  });
  await screens.part('action-form-without-charts', async () => {
    const end = await screens.answer('listQualityCharts', () => []);
    await reloadActions(screens);
    await page.getByRole('button', { name: 'Write an action…' }).click();
    await page.getByRole('button', { name: 'Go to the quality charts' }).waitFor();
    await seeState(screens, 'action-form-without-charts');
    await end();
    await page.getByRole('button', { name: 'Leave it' }).click();
  });
  // Before a change of another action is marked on the same chart: the time after this one ends with it.
  await screens.part('action-measured', async () => {
    await openAction(page, /^Second sensor/);
    await page.getByRole('figure').first().waitFor();
    await screens.see('action-measured');
    await page.getByText('Take the change back').first().click();
    await seeAlong(screens, 'action-measured', page.locator('main'));
    for (let i = 0; i < 2; i += 1) {
      const once = page.getByRole('button', { name: 'Measure once more' });
      await once.click();
      await once.waitFor();
    }
    await page.getByText('same figures').waitFor();
    await seeState(screens, 'action-measured-the-same');
    await page.getByLabel('Why it is closed').fill('seen in the meeting: fewer long losses');
    const end = await screens.fail('editAction');
    await page.getByRole('button', { name: 'Close the action' }).click();
    await page.getByRole('alert').waitFor();
    await seeState(screens, 'action-not-closed');
    await end();
    await page.getByRole('button', { name: 'Close the action' }).click();
    await page.getByText('It can be taken up again').waitFor();
    await screens.see('action-closed-by-hand');
  });
  await screens.part('action-open', async () => {
    await openAction(page, /^Agreed thing number 3$/);
    await screens.see('action-open');
    await page.getByLabel('First day of the new way').fill('2031-05-01');
    await page.getByLabel('What was changed').fill('Dr Keller gave everybody a sensor');
    await page.getByRole('button', { name: 'Say the change' }).click();
    await page.getByText('looks like it names a person').waitFor();
    await seeState(screens, 'action-change-person');
    await page.getByRole('button', { name: 'Change the text' }).click();
    await page.getByLabel('What was changed').fill('a second sensor for everybody');
    await page.getByRole('button', { name: 'Say the change' }).click();
    await page.getByText('Take the change back').first().waitFor();
    await screens.see('action-changed');
    await page.getByText('Take the change back').first().click();
    await page.getByLabel('Why the change is taken back').fill('it was put off');
    await page.getByRole('button', { name: 'Take the change back' }).click();
    await page.getByText('What was said and measured before').click();
    await seeState(screens, 'action-taken-back');
  });
  await screens.part('action-long', async () => {
    await openAction(page, /^A very long wish number 9/);
    await screens.see('action-long');
    const end = await screens.fail('editAction');
    await page.getByLabel('First day of the new way').fill('2031-01-01');
    await page.getByLabel('What was changed').fill('a word at the briefing');
    await page.getByRole('button', { name: 'Say the change' }).click();
    await page.getByRole('alert').waitFor();
    await seeState(screens, 'action-change-failed');
    await end();
    await page.getByRole('button', { name: 'Choose a chart…' }).click();
    await seeState(screens, 'action-written-anew');
    await page.getByRole('button', { name: 'Leave it' }).click();
  });
  await screens.part('action-too-early', async () => {
    await openAction(page, /^Prompt at 60/);
    const go = await screens.hold('measureAgain');
    await page.getByRole('button', { name: /^Measure/ }).click();
    await seeState(screens, 'action-measuring');
    await page.getByRole('button', { name: 'Cancel' }).click();
    await seeState(screens, 'action-measuring-cancelled');
    await go();
    await screens.see('action-too-early');
    const end = await screens.fail('measureAgain', { code: 'case-unreadable', message: 'The cases of the library cannot be read.', remedy: 'Put the last backup in its place.' });
    await page.getByRole('button', { name: /^Measure/ }).click();
    await page.getByRole('alert').waitFor();
    await seeState(screens, 'action-measuring-failed');
    await end();
  });
  await screens.part('action-too-few', async () => {
    await openAction(page, /^Ear sensor/);
    await page.getByRole('figure').first().waitFor();
    await screens.see('action-too-few');
  });
  await screens.part('chart-marked', async () => {
    await openAction(page, /^Ear sensor/);
    await page.getByRole('button', { name: 'Long dropouts', exact: true }).click();
    await page.locator('.chart-actions').waitFor();
    await screens.see('chart-marked');
    await seeAlong(screens, 'chart-marked', page.locator('main'));
    await openActions(screens);
  });
  await screens.part('action-closed', async () => {
    await openAction(page, /^Look at the pulse lane/);
    await page.getByText('What was said and measured before').click();
    await screens.see('action-closed');
    await seeAlong(screens, 'action-closed', page.locator('main'));
    await openAction(page, /^Reflectance sensor/);
    await seeState(screens, 'action-not-carried-out');
  });
});

/** Opens the list of what would go out of a part of the reports. */
async function openRelease(page: Page, part: string): Promise<Locator> {
  await page.getByRole('region', { name: part }).getByRole('button', { name: 'Check the words and save…' }).click();
  const dialog = page.getByRole('dialog');
  await dialog.getByRole('button', { name: 'Close' }).waitFor();
  return dialog;
}

async function closeDialog(dialog: Locator): Promise<void> {
  await dialog.getByRole('button', { name: 'Close' }).click();
  await dialog.waitFor({ state: 'detached' });
}

/** Opens what is folded away in a dialog. */
async function openAll(dialog: Locator): Promise<void> {
  const folded = dialog.locator('details:not([open]) > summary');
  while ((await folded.count()) > 0) await folded.first().click();
}

/** Answers every question of a list with keep, a kind at a time. */
async function keepAll(dialog: Locator): Promise<void> {
  const open = dialog.getByRole('button', { name: /^Keep all/ }).and(dialog.locator(':enabled'));
  while ((await open.count()) > 0) {
    const left = await open.count();
    await open.first().click();
    await dialog.page().waitForFunction((before) => document.querySelectorAll('.release-kind-head button:enabled[aria-label^="Keep all"]').length < before, left);
  }
}

/** The same list with nothing that is asked about. */
const askingNothing = (list: ReleaseList): ReleaseList => ({ ...list, tokens: list.tokens.filter(({ kind }) => !isAsked(kind)), open: 0 });

walk(AREA, 'reports and what would go out', { library: 'seeded' }, async (screens) => {
  const { page } = screens;
  await page.getByText(/116 cases/).first().waitFor({ timeout: 90_000 });
  const department = page.getByRole('region', { name: 'Department report' });
  const bundle = page.getByRole('region', { name: 'Research bundle' });
  const sheets = page.getByRole('region', { name: 'Case sheets' });
  const openReports = async (): Promise<void> => {
    await screens.goTo('Meeting');
    await screens.goToPart(PARTS, 'Reports');
  };
  await screens.part('reports-loading', async () => {
    const go = await screens.hold('listCases');
    await page.reload();
    await openReports();
    await seeState(screens, 'reports-loading');
    await go();
  });
  await screens.part('reports-failed', async () => {
    const end = await screens.fail('listCases', { code: 'library-unreadable', message: 'The list of cases cannot be read.', remedy: 'Put the last backup in its place.' });
    await page.reload();
    await openReports();
    await page.getByRole('alert').first().waitFor();
    await seeState(screens, 'reports-failed');
    await end();
    await page.reload();
  });
  await screens.part('reports', async () => {
    await openReports();
    await page.getByRole('button', { name: 'Make the report' }).waitFor();
    await screens.see('reports');
    await seeAlong(screens, 'reports', page.locator('main'));
    await page.getByLabel('First day').fill('2031-05-01');
    await page.getByLabel('Last day').fill('2031-04-01');
    await seeState(screens, 'reports-days-the-wrong-way-round');
    await page.getByLabel('First day').fill('');
    await page.getByLabel('Last day').fill('');
  });
  await screens.part('department-making', async () => {
    const go = await screens.hold('departmentReport');
    await page.getByRole('button', { name: 'Make the report' }).click();
    await seeState(screens, 'department-making');
    await department.getByRole('button', { name: 'Cancel' }).click();
    await seeState(screens, 'department-cancelled');
    await go();
    for (const [name, failure] of [
      ['department-failed', { code: 'reviews-unreadable', message: 'The reviews of the library cannot be read: line 4 is not of the format.', remedy: 'Put the last backup in its place.' }],
      ['department-running-elsewhere', { code: 'report-running', message: 'This report is already being made.', remedy: 'Wait until it is done, or cancel it.' }],
    ] as const) {
      const end = await screens.fail('departmentReport', failure);
      await page.getByRole('button', { name: 'Make the report' }).click();
      await page.getByRole('alert').waitFor();
      await seeState(screens, name);
      await end();
    }
  });
  await screens.part('department-made', async () => {
    await page.getByRole('button', { name: 'Make the report' }).click();
    await department.getByRole('button', { name: 'Check the words and save…' }).waitFor({ timeout: 120_000 });
    await department.scrollIntoViewIfNeeded();
    await screens.see('department-made', { whole: false });
    await seeAlong(screens, 'department-made', page.locator('main'), 14);
  });
  await screens.part('department-release', async () => {
    const go = await screens.hold('listRelease');
    const listing = await openRelease(page, 'Department report');
    await seeState(screens, 'release-listing');
    await go();
    await listing.getByText('Show', { exact: true }).waitFor();
    await closeDialog(listing);
    const endFail = await screens.fail('listRelease', { code: 'worker-ended', message: 'The words could not be listed: the worker ended.', remedy: 'Try again.' });
    const failed = await openRelease(page, 'Department report');
    await failed.getByRole('alert').waitFor();
    await seeState(screens, 'release-not-listed');
    await endFail();
    await closeDialog(failed);
    const endAnswer = await screens.answer('listRelease', askingNothing);
    const quiet = await openRelease(page, 'Department report');
    await quiet.getByText('Everything is answered.').waitFor();
    await seeState(screens, 'release-nothing-asked');
    await endAnswer();
    await closeDialog(quiet);
    const dialog = await openRelease(page, 'Department report');
    await dialog.getByText('Show', { exact: true }).waitFor();
    await screens.see('release');
    await seeAlong(screens, 'release', dialog.locator('.dialog-body'));
    await dialog.getByLabel('Word or place holds').fill('zzz');
    await seeState(screens, 'release-none-fits');
    await dialog.getByLabel('Word or place holds').fill('');
    const choice = dialog.locator('select[data-open="true"]').first();
    await choice.selectOption('replace');
    await dialog.getByRole('textbox', { name: /^In place of/ }).fill('a word that tells less');
    await seeState(screens, 'release-replacing');
    await dialog.getByRole('button', { name: 'Replace', exact: true }).click();
    await dialog.getByRole('region', { name: 'Does not go out' }).waitFor();
    await dialog.locator('select[data-open="true"]').first().selectOption('leave out');
    await dialog.getByRole('region', { name: 'Does not go out' }).getByRole('listitem').nth(1).waitFor();
    await screens.see('release-some-do-not-go-out', { whole: false });
    await choose(dialog, 'everything');
    await openAll(dialog);
    await seeAlong(screens, 'release-everything', dialog.locator('.dialog-body'), 20);
    await choose(dialog, 'only what is open');
    await seeState(screens, 'release-only-open');
    await keepAll(dialog);
    await seeState(screens, 'release-all-answered');
    const end = await screens.fail('writeReport');
    await dialog.getByRole('button', { name: 'Save as PDF' }).click();
    await dialog.getByRole('alert').waitFor();
    await seeState(screens, 'release-not-saved');
    await end();
    await dialog.getByRole('button', { name: 'Save as PDF' }).click();
    await dialog.getByText(/^Saved/).waitFor({ timeout: 60_000 });
    await seeState(screens, 'release-saved');
    await closeDialog(dialog);
  });
  await screens.part('action-from-report', async () => {
    await department.getByRole('button', { name: 'Write an action…' }).click();
    await page.getByLabel('What is to be done').waitFor();
    await screens.see('action-from-report', { whole: false, enlarged: false });
    await page.getByRole('button', { name: 'Leave it' }).click();
    await openReports();
  });
  await screens.part('sheets', async () => {
    await page.getByLabel('Find by name or date').fill('zzz');
    await sheets.scrollIntoViewIfNeeded();
    await seeState(screens, 'sheets-no-case-fits');
    await page.getByLabel('Find by name or date').fill('');
    await choose(sheets, 'The cases of a story');
    await sheets.getByLabel('Story', { exact: true }).waitFor();
    await seeState(screens, 'sheets-of-a-story');
    await choose(sheets, /^Those chosen in the library/);
    await seeState(screens, 'sheets-of-none-chosen');
    await choose(sheets, /picked here$/);
    for (const words of ['C-', 'K', '']) {
      await page.getByLabel('Find by name or date').fill(words);
      await page.getByRole('button', { name: /^Pick the/ }).click();
    }
    await sheets.scrollIntoViewIfNeeded();
    await seeState(screens, 'sheets-many-picked');
    await page.getByRole('button', { name: 'Pick none' }).click();
    await page.getByLabel('Find by name or date').fill('K0');
    await page.getByRole('button', { name: /^Pick the/ }).click();
    const go = await screens.hold('caseSheets');
    await sheets.getByRole('button', { name: /^Make \d+ sheets/ }).click();
    await sheets.getByRole('button', { name: 'Cancel' }).scrollIntoViewIfNeeded();
    await seeState(screens, 'sheets-making');
    await go();
    await sheets.getByRole('button', { name: 'Check the words and save…' }).waitFor({ timeout: 120_000 });
    await sheets.getByRole('button', { name: 'Check the words and save…' }).scrollIntoViewIfNeeded();
    await screens.see('sheets-made', { whole: false });
    const dialog = await openRelease(page, 'Case sheets');
    await dialog.getByText('Show', { exact: true }).waitFor();
    await screens.see('sheets-release');
    await closeDialog(dialog);
  });
  await screens.part('bundle', async () => {
    await bundle.getByText(/^times from the first row/).click();
    await page.getByLabel('First day').fill('2031-03-01');
    await bundle.scrollIntoViewIfNeeded();
    await seeState(screens, 'bundle-days-and-no-dates');
    await page.getByLabel('First day').fill('');
    await bundle.getByText(/^times from the first row/).click();
    const go = await screens.hold('researchBundle');
    await bundle.getByRole('button', { name: 'Make the bundle' }).click();
    await bundle.scrollIntoViewIfNeeded();
    await seeState(screens, 'bundle-making');
    await go();
    await bundle.getByRole('button', { name: 'Check the words and save…' }).waitFor({ timeout: 120_000 });
    await bundle.getByText('The files in it').click();
    await bundle.scrollIntoViewIfNeeded();
    await screens.see('bundle-made', { whole: false });
    const dialog = await openRelease(page, 'Research bundle');
    await dialog.getByText('Show', { exact: true }).waitFor({ timeout: 60_000 });
    await screens.see('bundle-release', { whole: false });
    await seeAlong(screens, 'bundle-release', dialog.locator('.dialog-body'));
    await choose(dialog, 'everything');
    await openAll(dialog);
    await seeAlong(screens, 'bundle-release-everything', dialog.locator('.dialog-body'), 20);
    await choose(dialog, 'what is asked about');
    await keepAll(dialog);
    await dialog.getByRole('button', { name: /zip/ }).click();
    await dialog.getByText(/^Saved/).waitFor({ timeout: 60_000 });
    await seeState(screens, 'bundle-saved');
    await closeDialog(dialog);
  });
  await screens.part('sixty-moments', async () => {
    await screens.goToPart(PARTS, 'Stories');
    await page.getByRole('button', { name: 'Sixty moments', exact: true }).click();
    await page.getByRole('button', { name: 'Slides and pictures…' }).click();
    const dialog = page.getByRole('dialog');
    await dialog.getByText('Show', { exact: true }).waitFor({ timeout: 120_000 });
    await screens.see('sixty-moments-release');
    await dialog.getByLabel(/^Confidentiality text/).fill('Confidential: peer review under local policy 7, for members of the department only; not for the record of a patient, not to be copied or passed on.');
    await seeState(screens, 'policy-too-long');
    await dialog.getByLabel(/^Confidentiality text/).fill('Confidential: peer review under local policy 7');
    const end = await screens.fail('saveReportSetting');
    await dialog.getByRole('button', { name: 'Use this text' }).click();
    await seeState(screens, 'policy-not-kept');
    await end();
    await dialog.getByRole('button', { name: 'Use this text' }).click();
    await dialog.getByText('Show', { exact: true }).waitFor({ timeout: 120_000 });
    await seeState(screens, 'policy-kept');
    await closeDialog(dialog);
  });
});

walk(AREA, 'nothing yet', { library: 'samples' }, async (screens) => {
  const { page } = screens;
  await page.getByText(/19 cases/).first().waitFor({ timeout: 90_000 });
  await screens.part('actions-none', async () => {
    await openActions(screens);
    await page.getByText('No action yet').waitFor();
    await screens.see('actions-none');
  });
  await screens.part('reports-of-samples', async () => {
    await screens.goToPart(PARTS, 'Reports');
    await page.getByRole('button', { name: 'Make the report' }).waitFor();
    await seeState(screens, 'reports-of-samples');
  });
  await screens.part('reports-none', async () => {
    const end = await screens.answer('listCases', () => []);
    await page.reload();
    await screens.goTo('Meeting');
    await screens.goToPart(PARTS, 'Reports');
    await page.getByText('No case to report on').waitFor();
    await screens.see('reports-none');
    await end();
  });
});
