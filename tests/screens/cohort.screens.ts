import type { Page } from '@playwright/test';
import { SIZES, walk, type Choice, type Failed, type Screens } from './look.ts';

const AREA = 'cohort';
const PARTS = 'Parts of the cohort';
/** For what differs from another state in few words. */
const SMALL: Choice = { sizes: [SIZES[0]], whole: false, enlarged: false };
const TWO: Choice = { sizes: [SIZES[0], SIZES[1]], whole: false, enlarged: false };
/** Long pages: window by window. */
const FOLDS: Choice = { whole: false, folds: true };
const IMPORTED_MS = 90_000;
const WORKED_MS = 90_000;
/** Until a press has had its effect, where nothing says so. */
const EFFECT_MS = 700;
/** A folder with a library of thousands of cases; a copy, since what is worked out is kept in it. */
const HUGE = process.env['LACUNA_HUGE_LIBRARY'];
const UNREADABLE: Failed = { code: 'library-unreadable', message: 'The library could not be read.', remedy: 'Look whether its disk is still there, then ask again.' };
const STOPPED: Failed = { code: 'worker-lost', message: 'The part of the program that compares sites has stopped.', remedy: 'Try again; if it happens again, close other programs, since the memory may be full.' };

const button = (page: Page, name: string | RegExp) => page.getByRole('main').getByRole('button', { name, exact: typeof name === 'string' });
const figure = (page: Page, name: string) => page.getByRole('figure', { name });
const answered = (page: Page) => page.locator('.cohort-answers:not(.cohort-answers-old)').waitFor({ timeout: WORKED_MS });

async function choose(page: Page, name: string | RegExp): Promise<void> {
  await page.getByRole('radio', { name }).check({ force: true });
}

/** Another question: the answers before it stay in sight until it is answered. */
async function ask(page: Page, question: () => Promise<void>): Promise<void> {
  await question();
  await page.locator('.cohort-answers-old').waitFor();
  await answered(page);
}

async function openCase({ page, goTo }: { readonly page: Page; readonly goTo: (place: string) => Promise<void> }, caseId: string): Promise<void> {
  await goTo('Library');
  await page.getByLabel('Name or file holds').fill(caseId);
  await page.getByRole('button', { name: caseId, exact: true }).click();
  await page.locator('.tl-root[data-drawn="true"]').first().waitFor();
}

/** Every figure of the page as its table, or back as its picture. */
async function turnFigures(page: Page, words: 'Show as a table' | 'Show the picture'): Promise<void> {
  for (let left = await button(page, words).count(); left > 0; left -= 1) await button(page, words).first().click();
}

const goToOf = (screens: Screens) => ({ page: screens.page, goTo: (place: string) => screens.goTo(place) });

walk(AREA, 'questions, their pictures and tables, choices and failures', { library: 'seeded' }, async (screens) => {
  const { page } = screens;
  await page.getByText(/116 cases/).first().waitFor({ timeout: IMPORTED_MS });

  await screens.part('loading', async () => {
    const goOn = await screens.hold('cohort');
    await screens.goTo('Cohort');
    await button(page, 'Cancel').waitFor();
    await screens.see('questions-loading');
    await button(page, 'Cancel').click();
    await screens.see('questions-cancelled', SMALL);
    await goOn();
    await button(page, 'Work out the answers').click();
    await answered(page);
  });
  await screens.part('readers', async () => {
    for (const [reader, name] of [['Quality lead', 'lead'], ['Department', 'department'], ['Researcher', 'research']] as const) {
      await page.getByRole('tab', { name: reader }).click();
      await page.waitForTimeout(EFFECT_MS);
      await screens.see(name, FOLDS);
      await turnFigures(page, 'Show as a table');
      await screens.see(`${name}-tables`, { ...FOLDS, enlarged: false });
      await turnFigures(page, 'Show the picture');
    }
    await page.getByRole('tab', { name: 'Quality lead' }).click();
  });
  await screens.part('point', async () => {
    const first = figure(page, 'Share of monitored time lost, by place').locator('.chart-place [role="button"]').first();
    await first.focus();
    await page.keyboard.press('End');
    await screens.see('point-focused', SMALL);
    await first.focus();
    await page.keyboard.press('End');
    await page.keyboard.press('Enter');
    await page.getByRole('dialog').waitFor();
    await screens.see('point-opened', { whole: false });
    await page.keyboard.press('Escape');
  });
  await screens.part('choices', async () => {
    await page.getByText('Narrow the cases').click();
    await screens.see('choices', { whole: false });
    await ask(page, async () => void (await page.getByLabel('Compare by').selectOption({ label: 'service' })));
    await page.getByLabel('Something was changed on').fill('2031-04-01');
    await ask(page, () => page.getByLabel('What was changed').fill('second sensor with tucked arms'));
    await screens.see('compared', { ...FOLDS, enlarged: false });
    await page.getByText('Flow of cases: how many came how far').click();
    await screens.see('flow', { ...TWO, folds: true });
    await ask(page, () => page.getByRole('group', { name: /^Service/ }).getByRole('button', { name: 'None of service' }).click());
    await screens.see('none-left', FOLDS);
    await ask(page, () => button(page, 'Look at every case').click());
    await page.getByText('Narrow the cases').click();
  });
  await screens.part('confirmed', async () => {
    await ask(page, () => choose(page, 'Confirmed by readers'));
    await screens.see('confirmed', { ...TWO, folds: true });
    await ask(page, () => choose(page, 'Both side by side'));
    await screens.see('both-side-by-side', { ...TWO, folds: true });
    await ask(page, () => choose(page, 'As computed'));
  });
  await screens.part('failed', async () => {
    const end = await screens.fail('cohort', UNREADABLE);
    await page.getByRole('radio', { name: 'Confirmed by readers' }).check({ force: true });
    await page.getByText('The answers could not be worked out.').waitFor();
    await screens.see('questions-failed', { whole: false });
    await end();
  });
});

walk(AREA, 'quality charts and units', { library: 'seeded' }, async (screens) => {
  const { page } = screens;
  await page.getByText(/116 cases/).first().waitFor({ timeout: IMPORTED_MS });
  await screens.goTo('Cohort');

  await screens.part('list', async () => {
    const end = await screens.fail('listQualityCharts', UNREADABLE);
    await screens.goToPart(PARTS, 'Quality charts');
    await page.getByText('The charts could not be read.').waitFor();
    await screens.see('quality-failed');
    await end();
    const goOn = await screens.hold('listQualityCharts');
    await button(page, 'Try again').click();
    await page.getByText('Reading the charts…').waitFor();
    await screens.see('quality-loading');
    await goOn();
    await button(page, 'Long dropouts').waitFor();
    await screens.see('quality');
  });
  await screens.part('chart', async () => {
    await button(page, 'Long dropouts').click();
    await figure(page, 'Long dropouts').waitFor();
    await screens.see('quality-chart', FOLDS);
    await turnFigures(page, 'Show as a table');
    await screens.see('quality-chart-table', TWO);
    await turnFigures(page, 'Show the picture');
    await figure(page, 'Long dropouts').locator('.chart-place [role="button"]').first().focus();
    await page.keyboard.press('Enter');
    await page.getByRole('dialog').waitFor();
    await screens.see('quality-point', TWO);
    await page.keyboard.press('Escape');
    await button(page, 'Remove this chart').click();
    await screens.see('quality-remove', TWO);
    await page.keyboard.press('Escape');
    await page.getByText('Fix new limits from a point on').click();
    await screens.see('quality-limits', { ...TWO, folds: true });
    const end = await screens.fail('editQualityChart');
    await page.getByLabel('First day of the new way').fill('2031-06-01');
    await page.getByLabel('What was changed').fill('something');
    await button(page, 'Mark the change').click();
    await page.getByText('That did not work.').waitFor();
    await screens.see('quality-edit-failed', TWO);
    await end();
    await button(page, 'All quality charts').click();
  });
  await screens.part('new chart', async () => {
    await button(page, 'Make a chart').click();
    await screens.see('quality-new');
    await page.getByLabel('Points', { exact: true }).selectOption('cases');
    await page.getByLabel('Cases in a point').fill('4');
    await page.getByText('Not usable').waitFor();
    await screens.see('quality-new-fault', TWO);
    await page.getByLabel('Points', { exact: true }).selectOption('month');
    const end = await screens.fail('proposeQualityChart');
    await button(page, 'See what it would look like').click();
    await page.getByText('That did not work.').waitFor();
    await screens.see('quality-new-failed', SMALL);
    await end();
    await button(page, 'See what it would look like').click();
    await figure(page, 'Share of monitored time lost').waitFor();
    await screens.see('quality-proposal', FOLDS);
    await button(page, 'All quality charts').click();
  });
  await screens.part('units', async () => {
    await button(page, 'Units against all of them').click();
    await screens.see('units-before');
    await button(page, 'Set them side by side').click();
    await figure(page, 'Share of cases with a long loss, by unit').waitFor();
    await screens.see('units', FOLDS);
    await turnFigures(page, 'Show as a table');
    await screens.see('units-table', { ...TWO, folds: true });
  });
});

walk(AREA, 'next study and protocols', { library: 'seeded' }, async (screens) => {
  const { page } = screens;
  await page.getByText(/116 cases/).first().waitFor({ timeout: IMPORTED_MS });
  await screens.goTo('Cohort');
  await screens.goToPart(PARTS, 'Next study');

  await screens.part('size', async () => {
    await screens.see('study');
    await choose(page, /^Parallel/);
    await page.getByLabel('First site').selectOption('finger');
    await page.getByLabel('Second site', { exact: true }).selectOption('finger');
    await screens.see('study-one-site', SMALL);
    await page.getByLabel('Second site', { exact: true }).selectOption('ear lobe');
    await page.getByLabel('Spread of the second site').selectOption('that of the first site');
    await page.getByRole('checkbox', { name: 'Size for a wanted precision' }).check();
    await page.getByRole('textbox', { name: 'Simulated studies' }).fill('300');
    const end = await screens.fail('planStudy', UNREADABLE);
    await button(page, 'Work it out').click();
    await page.getByText('The study could not be planned.').waitFor();
    await screens.see('study-failed', TWO);
    await end();
    const goOn = await screens.hold('planStudy');
    await button(page, 'Work it out').click();
    await button(page, 'Cancel').waitFor();
    await screens.see('study-working', TWO);
    await goOn();
    await page.locator('.study-answer').first().waitFor({ timeout: WORKED_MS });
    await screens.see('study-answer', FOLDS);
    await turnFigures(page, 'Show as a table');
    await screens.see('study-answer-table', { ...SMALL, folds: true });
    await page.getByRole('textbox', { name: 'Simulated studies' }).fill('3');
    await screens.see('study-fault', TWO);
  });
  await screens.part('protocols', async () => {
    const end = await screens.fail('listProtocols', UNREADABLE);
    await page.getByRole('tab', { name: 'Protocols' }).click();
    await button(page, 'Read the protocols again').waitFor();
    await screens.see('protocols-failed', SMALL);
    await end();
    await button(page, 'Read the protocols again').click();
    await page.getByText('No protocol was fixed').waitFor();
    await screens.see('protocols-none');
    await button(page, 'Write a protocol…').click();
    await screens.see('protocol-new', TWO);
    await page.getByLabel('Title').fill('Ear against finger');
    await page.getByLabel('Question').fill('Is less lost at the ear lobe?');
    await page.getByLabel('Cases to be included').fill('All long operations.');
    await page.getByLabel('Analysis', { exact: true }).fill('Ratio of the totals.');
    await screens.see('protocol-written', { whole: false, folds: true });
    const refused = await screens.fail('fixProtocol');
    await button(page, 'Fix it').click();
    await page.getByText('That did not go through.').waitFor();
    await screens.see('protocol-not-fixed', TWO);
    await refused();
    await button(page, 'Fix it').click();
    await button(page, /^Write a new version/).waitFor();
    await screens.see('protocols');
    await button(page, /^Write a new version/).click();
    await screens.see('protocol-new-version', { ...TWO, folds: true });
  });
  await screens.part('statement', async () => {
    await screens.goToPart(PARTS, 'Questions');
    await answered(page);
    await page.getByText(/^Computed under the definition of protocol/).scrollIntoViewIfNeeded();
    await screens.see('questions-under-protocol', SMALL);
  });
});

walk(AREA, 'definitions', { library: 'seeded' }, async (screens) => {
  const { page } = screens;
  await page.getByText(/116 cases/).first().waitFor({ timeout: IMPORTED_MS });
  const tab = (name: string) => page.getByRole('tab', { name }).click();
  const shortest = page.getByRole('textbox', { name: 'Shortest loss that counts' });

  await screens.part('each', async () => {
    await screens.goTo('Definitions');
    await shortest.waitFor();
    await screens.see('definitions', FOLDS);
    await shortest.fill('9999');
    await page.getByText('Not usable').waitFor();
    await screens.see('definitions-fault', { whole: false });
    await shortest.fill('45');
    await page.getByText('On trial: these differ').waitFor();
    await screens.see('definitions-on-trial', TWO);
    const end = await screens.fail('saveParameters');
    await button(page, 'Use for the whole library').click();
    await page.getByText('The disk is full').waitFor();
    await screens.see('definitions-failed', TWO);
    await end();
    await button(page, 'Back to the library’s').click();
  });
  await screens.part('no case', async () => {
    await tab('How much hangs on it');
    await screens.see('definitions-no-case', TWO);
    await tab('Sets');
    await screens.see('definitions-sets');
    await page.getByLabel('under the name').fill('default');
    await screens.see('definitions-sets-fault', SMALL);
  });
  await screens.part('case', async () => {
    await openCase(goToOf(screens), 'K11-bypass');
    await screens.goTo('Definitions');
    await tab('Each definition');
    await shortest.fill('60');
    await page.waitForTimeout(EFFECT_MS);
    await screens.see('definitions-of-case', { whole: false });
    await button(page, 'Back to the library’s').click();
    await openCase(goToOf(screens), 'K06-finger-and-ear');
    await screens.goTo('Definitions');
    await tab('How much hangs on it');
    await page.getByRole('slider').first().focus();
    for (let i = 0; i < 6; i += 1) await page.keyboard.press('ArrowLeft');
    await screens.see('definitions-dragged', FOLDS);
    await page.getByText('The curve as a table').click();
    await screens.see('definitions-curve-table', { ...SMALL, folds: true });
  });
  await screens.part('not prepared', async () => {
    const end = await screens.fail('prepareRobustness', UNREADABLE);
    await openCase(goToOf(screens), 'K05-move-to-nasal-ala');
    await screens.goTo('Definitions');
    await tab('How much hangs on it');
    await button(page, 'Try again').waitFor();
    await screens.see('definitions-case-failed', TWO);
    await end();
  });
});

walk(AREA, 'sites over cases', { library: 'seeded' }, async (screens) => {
  const { page } = screens;
  await page.getByText(/116 cases/).first().waitFor({ timeout: IMPORTED_MS });

  await screens.part('none, working, cancelled', async () => {
    await screens.goTo('Sites');
    await screens.see('sites-none');
    const goOn = await screens.hold('compareSites');
    await screens.goTo('Library');
    await page.getByRole('button', { name: /^Choose all/ }).click();
    await screens.goTo('Sites');
    await button(page, 'Cancel').waitFor();
    await screens.see('sites-working');
    await button(page, 'Cancel').click();
    await goOn();
    await button(page, 'Compare the sites').waitFor();
    await screens.see('sites-cancelled', { whole: false });
  });
  await screens.part('compared', async () => {
    await button(page, 'Compare the sites').click();
    await page.locator('main table').first().waitFor({ timeout: WORKED_MS });
    await page.waitForTimeout(EFFECT_MS);
    await screens.see('sites', FOLDS);
  });
  await screens.part('failed', async () => {
    const end = await screens.fail('compareSites', STOPPED);
    await screens.goTo('Library');
    await page.getByRole('button', { name: 'Choose none' }).click();
    await page.getByRole('grid', { name: 'Cases' }).locator('tr[data-row]').nth(1).focus();
    await page.keyboard.press('Space');
    await screens.goTo('Sites');
    await page.getByText('The sites could not be compared.').waitFor();
    await screens.see('sites-failed', { whole: false });
    await end();
    await button(page, 'Try again').click();
    await page.locator('main table').first().waitFor({ timeout: WORKED_MS });
    await screens.see('sites-one-case', { ...TWO, folds: true });
  });
});

if (HUGE !== undefined) {
  walk(AREA, 'a library of thousands', { library: { folder: HUGE } }, async (screens) => {
    const { page } = screens;
    const WAIT_MS = 5 * 60_000;
    await page.getByText(/[0-9],[0-9]{3} cases/).first().waitFor({ timeout: WAIT_MS });
    await screens.part('cohort', async () => {
      await screens.goTo('Cohort');
      await button(page, 'Cancel').waitFor();
      await screens.see('huge-working', SMALL);
      await page.getByRole('figure').first().waitFor({ timeout: WAIT_MS });
      for (const [reader, name] of [['Quality lead', 'lead'], ['Department', 'department'], ['Researcher', 'research']] as const) {
        await page.getByRole('tab', { name: reader }).click();
        await page.waitForTimeout(EFFECT_MS);
        await screens.see(`huge-${name}`, { ...FOLDS, enlarged: false });
      }
    });
    await screens.part('sites', async () => {
      await screens.goTo('Library');
      await page.getByRole('button', { name: /^Choose all/ }).click();
      await screens.goTo('Sites');
      await page.locator('main table').first().waitFor({ timeout: WAIT_MS });
      await screens.see('huge-sites', { ...FOLDS, enlarged: false });
    });
  });
}
