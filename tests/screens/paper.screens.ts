/** What comes out of a printer: every place, dialog and list on A4 lying and standing and on Letter, dark and with its grounds on the lying one. */
import { execFile } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { join } from 'node:path';
import { promisify } from 'node:util';
import type { Page } from '@playwright/test';
import { walk, type Screens } from './look.ts';

const run = promisify(execFile);
const SAMPLES = fileURLToPath(new URL('../../sample-cases/cases/', import.meta.url));
const FORMATS = [
  { name: 'A4-lying', look: 'dark', pdf: { format: 'A4', landscape: true, printBackground: true } },
  { name: 'A4', look: 'light', pdf: { format: 'A4' } },
  { name: 'Letter', look: 'light', pdf: { format: 'Letter' } },
] as const;
const DPI = 70;

/** Prints what is shown: `NAME-FORMAT.pdf`, and its sheets as `NAME-FORMAT-N.png` where there is a program that makes them. */
async function printed({ page, folder }: Screens, name: string, on: Page = page): Promise<void> {
  for (const { name: format, look, pdf } of FORMATS) {
    await on.emulateMedia({ colorScheme: look });
    await on.waitForTimeout(250);
    const file = join(folder, `${name}-${format}`);
    await on.pdf({ path: `${file}.pdf`, ...pdf });
    await run('pdftoppm', ['-r', String(DPI), '-png', `${file}.pdf`, file]).catch((error: NodeJS.ErrnoException) => {
      if (error.code !== 'ENOENT') throw error;
    });
  }
  await on.emulateMedia({ colorScheme: 'light' });
}

async function openCase(screens: Screens, caseId: string): Promise<void> {
  await screens.goTo('Library');
  await screens.page.getByLabel('Name or file holds').fill(caseId);
  await screens.page.getByRole('button', { name: caseId, exact: true }).click();
  await screens.page.locator('.tl-root[data-drawn="true"]').first().waitFor();
}

async function imported(page: Page, take: () => Promise<void>): Promise<void> {
  const done = page.getByRole('button', { name: 'Done, import something else' });
  if (await done.isVisible()) await done.click();
  const leave = page.getByRole('dialog').getByRole('button', { name: 'Leave' });
  if (await leave.isVisible()) await leave.click();
  await take();
  await page.getByRole('heading', { level: 1, name: 'Import report' }).waitFor({ timeout: 90_000 });
  for (const file of await page.locator('details.file-section').all()) await file.evaluate((element) => element.setAttribute('open', ''));
}

const takeFile = (page: Page, name: string, rows: readonly string[]): Promise<void> => page.getByTestId('file-input').setInputFiles([{ name, mimeType: 'text/csv', buffer: Buffer.from(rows.join('\n')) }]);
const takeFolder = (page: Page, name: string): Promise<void> => page.getByTestId('folder-input').setInputFiles(join(SAMPLES, name));
const clock = (second: number): string => new Date(Date.UTC(2031, 3, 23, 8, 0, second)).toISOString().slice(0, 19).replace('T', ' ');

/** Ten hours, 27 channels, over a hundred dropouts. */
function hugeRows(): string[] {
  const names = ['SpO2 finger (%)', 'SpO2 ear lobe (%)', 'SpO2 forehead (%)', 'Pulse rate finger (/min)', 'Pulse rate ear lobe (/min)', 'Perfusion index finger (%)', 'Perfusion index ear lobe (%)', 'Heart rate ECG (/min)', 'ABP systolic (mmHg)', 'ABP diastolic (mmHg)', 'ABP mean (mmHg)', 'NIBP sys (mmHg)', 'NIBP dia (mmHg)', 'NIBP mean (mmHg)', 'Core temperature (Cel)', 'EtCO2 (mmHg)', 'CVP (mmHg)', 'FiO2 (%)', 'Resp rate (/min)', 'BIS', 'Sevoflurane (%)', 'N2O (%)', 'PEEP (cmH2O)', 'Tidal volume (mL)', 'Skin temperature (Cel)', 'Ppeak (cmH2O)'];
  const value = (name: string, k: number, i: number): string => {
    if (name.startsWith('SpO2')) return i > 50 && i % (61 + 13 * k) < 9 + k ? '---' : String(96 + ((i * (k + 3)) % 4));
    if (name.startsWith('Perfusion')) return (2 + Math.sin(i / 300 + k)).toFixed(2);
    return name.includes('Cel') ? (36.4 + Math.sin(i / 900)).toFixed(1) : String(Math.round(60 + 10 * k + 8 * Math.sin(i / 200 + k)));
  };
  return [['Time', ...names].join(','), ...Array.from({ length: 3600 }, (_, i) => [clock(i * 10), ...names.map((name, k) => value(name, k, i))].join(','))];
}

walk('paper', 'library, case, sites and import', { library: 'samples' }, async (screens) => {
  const { page } = screens;
  await page.getByRole('grid', { name: 'Cases' }).locator('tr[data-row]').nth(18).waitFor({ timeout: 120_000 });
  await screens.part('library', async () => {
    await printed(screens, 'library');
    for (const [text, name] of [['K0', 'library-filtered'], ['zzz', 'library-no-match']] as const) {
      await page.getByLabel('Name or file holds').fill(text);
      await printed(screens, name);
    }
    await screens.goTo('Case');
    await printed(screens, 'case-none');
  });
  await screens.part('cases', async () => {
    for (const caseId of ['K01-fade-after-bolus', 'K06-finger-and-ear', 'K07-blind-interval', 'K10-without-loss', 'K11-bypass', 'K17-prone-infusion']) {
      await openCase(screens, caseId);
      await printed(screens, caseId);
    }
  });
  await screens.part('case, looked into', async () => {
    await openCase(screens, 'K06-finger-and-ear');
    for (const key of ['n', '2']) await page.keyboard.press(key);
    for (const list of ['Dropouts', 'Low SpO2', 'Restored', 'Exposures', 'Blind', 'Record gaps', 'Marks']) {
      await page.getByRole('tab', { name: new RegExp(`^${list}`) }).click();
      await printed(screens, `case-${list.replace(' ', '-')}`);
    }
    await page.locator('.tl-stage').focus();
    for (const key of ['e', 'm', 'Alt+ArrowRight', 'm', 'k']) await page.keyboard.press(key);
    await page.getByRole('textbox', { name: /^Note of mark 1/ }).fill('Who saw it? Curve thin, pulse still palpable at the wrist.');
    await printed(screens, 'case-mark-and-bound');
    await page.locator('.tl-stage').press('t');
    await printed(screens, 'case-values');
  });
  await screens.part('dialogs of a case', async () => {
    await openCase(screens, 'K06-finger-and-ear');
    for (const [button, name] of [[/^Record: /, 'record'], ['Case sheet', 'case-sheet'], [/^Clocks/, 'clocks']] as const) {
      await page.getByRole('button', { name: button }).click();
      await page.getByRole('dialog').locator('table').first().waitFor();
      await printed(screens, `dialog-${name}`);
      await page.keyboard.press('Escape');
    }
    await page.getByRole('button', { name: 'Compare', exact: true }).click();
    await page.getByLabel('Lower', { exact: true }).selectOption({ label: 'K02-arms-tucked' });
    await page.locator('.tl-root[data-drawn="true"]').nth(1).waitFor();
    await printed(screens, 'compare');
    await page.getByText('Both in a table').click();
    await printed(screens, 'compare-table');
    await page.getByRole('button', { name: 'Back to the timeline' }).click();
  });
  await screens.part('sites', async () => {
    for (const caseId of ['K06-finger-and-ear', 'K01-fade-after-bolus']) {
      await openCase(screens, caseId);
      await page.getByRole('radio', { name: 'Sites compared' }).check({ force: true });
      await page.getByRole('heading', { name: 'Strength and steadiness of the signal' }).waitFor();
      await printed(screens, `sites-of-${caseId}`);
      await page.getByRole('radio', { name: 'Timeline' }).check({ force: true });
    }
    await screens.goTo('Library');
    await page.getByLabel('Name or file holds').fill('');
    await page.getByRole('button', { name: /^Choose all/ }).click();
    await screens.goTo('Sites');
    await page.getByRole('heading', { name: 'Strength and steadiness of the signal' }).waitFor();
    await printed(screens, 'sites');
  });
  await screens.part('import', async () => {
    await screens.goTo('Import');
    await printed(screens, 'import');
    await imported(page, () => takeFile(page, 'trends.csv', ['Time,SpO2,HR', ...Array.from({ length: 240 }, (_, i) => `${clock(i)},${i >= 100 && i < 160 ? '---' : '98'},${70 + (i % 5)}`)]));
    await printed(screens, 'import-good');
    await imported(page, () => takeFolder(page, 'K12-messy-file'));
    for (const reason of await page.getByText(/rejected, first at line/).all()) await reason.click();
    await printed(screens, 'import-messy');
    await imported(page, () => takeFile(page, 'far.csv', ['Seconds,SpO2,HR', ...Array.from({ length: 2400 }, (_, i) => (i % 4 === 0 ? `nonsense ${i},97,70` : `${i},97,70`))]));
    await page.getByText(/rejected, first at line/).first().click();
    await printed(screens, 'import-many-rejected');
    await page.getByRole('button', { name: /^Settle how line/ }).first().click();
    await page.getByRole('heading', { level: 1, name: 'How this file is read' }).waitFor();
    await page.locator('.mapping-table tbody tr').nth(20).waitFor();
    for (const [tab, name] of [[/^A column/, 'column'], [/^Phrases/, 'phrases'], ['The file', 'file'], ['What is kept', 'kept']] as const) {
      await page.getByRole('tab', { name: tab }).click();
      await printed(screens, `mapping-${name}`);
    }
    await page.reload();
  });
  await screens.part('ledger', async () => {
    await screens.goTo('Import');
    await page.getByRole('button', { name: 'Ledger' }).click();
    await page.locator('tr[data-import]').first().waitFor();
    await printed(screens, 'ledger');
    await page.locator('tr[data-import]').first().getByRole('button', { name: /^Open the import of/ }).click();
    await page.getByText(/^600 rows: /).click();
    await page.getByRole('button', { name: /^Show the rows of far.csv/ }).click();
    await page.locator('.rejected-table').first().waitFor();
    await printed(screens, 'ledger-entry');
    await page.reload();
  });
  await screens.part('a huge case', async () => {
    await screens.goTo('Import');
    await imported(page, () => takeFile(page, 'a case with an extraordinarily long name that some department thought useful, theatre 14.csv', hugeRows()));
    await page.getByRole('button', { name: /^Open a case/ }).click();
    await page.locator('.tl-root[data-drawn="true"]').waitFor();
    await printed(screens, 'huge-case');
  });
});

walk('paper', 'cohort, review, meeting and the rest', { library: 'seeded' }, async (screens) => {
  const { page } = screens;
  await page.getByText(/116 cases/).first().waitFor({ timeout: 90_000 });
  await screens.part('cohort', async () => {
    await screens.goTo('Cohort');
    await page.getByRole('figure', { name: 'Share of monitored time lost, by place' }).waitFor({ timeout: 90_000 });
    for (const tab of ['Quality lead', 'Department', 'Researcher']) {
      await page.getByRole('tab', { name: tab }).click();
      await page.getByRole('figure').first().waitFor();
      await printed(screens, `cohort-${tab.replace(' ', '-')}`);
    }
    await page.getByText('Narrow the cases').click();
    await page.getByText('Flow of cases: how many came how far').click();
    await printed(screens, 'cohort-choice-and-flow');
  });
  await screens.part('quality charts', async () => {
    await screens.goTo('Cohort');
    await screens.goToPart('Parts of the cohort', 'Quality charts');
    await printed(screens, 'quality-charts');
    await page.getByRole('button', { name: 'Long dropouts' }).first().click();
    await page.getByRole('figure').first().waitFor();
    await printed(screens, 'quality-chart');
    await page.getByRole('button', { name: 'All quality charts' }).click();
    await page.getByRole('button', { name: 'Make a chart' }).click();
    await page.getByRole('button', { name: 'See what it would look like' }).click();
    await page.getByRole('figure').first().waitFor();
    await printed(screens, 'quality-chart-new');
  });
  await screens.part('next study', async () => {
    await screens.goToPart('Parts of the cohort', 'Next study');
    await page.getByRole('radio', { name: /^Parallel/ }).check({ force: true });
    await page.getByLabel('First site').selectOption('finger');
    await page.getByLabel('Second site', { exact: true }).selectOption('ear lobe');
    await page.getByLabel('Spread of the second site').selectOption('that of the first site');
    await page.getByLabel('Simulated studies').fill('300');
    await page.getByRole('button', { name: 'Work it out' }).click();
    await page.locator('.study-answer').first().waitFor({ timeout: 90_000 });
    await printed(screens, 'next-study');
  });
  await screens.part('definitions', async () => {
    await openCase(screens, 'K11-bypass');
    await screens.goTo('Definitions');
    for (const tab of ['Each definition', 'How much hangs on it', 'Sets']) {
      await page.getByRole('tab', { name: tab }).click();
      await printed(screens, `definitions-${tab.replaceAll(' ', '-')}`);
    }
  });
  await screens.part('review', async () => {
    await screens.goTo('Review');
    await page.getByLabel('Who reads?').fill('Ada');
    await page.keyboard.press('Enter');
    await page.getByRole('button', { name: 'Draw the queue' }).click();
    await page.getByRole('grid', { name: 'Queue of dropouts' }).waitFor();
    await printed(screens, 'review-queue');
    for (const [name, what] of [['Agreement', page.getByRole('region', { name: 'All verdicts of the form' })], ['Disagreements', page.getByRole('button', { name: 'Record what was agreed…' }).first()], ['Exchange', page.getByRole('heading', { name: 'Received so far' })], ['Trail', page.locator('.trail tr').nth(5)]] as const) {
      await screens.goToPart('Parts of the review', name);
      await what.waitFor({ timeout: 60_000 });
      await printed(screens, `review-${name}`);
    }
    await screens.goToPart('Parts of the review', 'Disagreements');
    await page.getByRole('button', { name: 'Record what was agreed…' }).first().click();
    await printed(screens, 'review-what-was-agreed');
    await page.keyboard.press('Escape');
    await openCase(screens, 'K11-bypass');
    for (const key of ['j', 'n', '5', 'g']) await page.keyboard.press(key);
    await printed(screens, 'case-verdict');
    await page.keyboard.press('w');
  });
  await screens.part('stories', async () => {
    await screens.goTo('Meeting');
    await page.getByRole('button', { name: 'Both arms tucked', exact: true }).waitFor();
    await printed(screens, 'stories');
    await page.getByRole('button', { name: 'Both arms tucked', exact: true }).click();
    await page.locator('.story-moment').nth(1).click();
    await page.locator('.moment-preview .tl-root[data-drawn="true"]').waitFor();
    await printed(screens, 'story');
    await page.getByRole('button', { name: 'Present…' }).click();
    await printed(screens, 'present');
    await page.getByText('Fill the screen').click();
    await page.getByRole('dialog').getByRole('button', { name: 'Present', exact: true }).click();
    await page.getByRole('main', { name: 'Presentation' }).waitFor();
    await printed(screens, 'presentation-beginning');
    for (const key of ['PageDown', 'PageDown']) await page.keyboard.press(key);
    await page.locator('.tl-root[data-drawn="true"]').waitFor();
    await printed(screens, 'presentation');
    for (const key of ['r', 'o']) await page.keyboard.press(key);
    await page.locator('.tl-root[data-drawn="true"]').waitFor();
    await printed(screens, 'presentation-notes');
    const [presenter] = await Promise.all([page.waitForEvent('popup'), page.keyboard.press('w')]);
    await presenter.getByRole('heading', { name: 'Notes' }).waitFor();
    await printed(screens, 'presenter', presenter);
    await presenter.close();
    await page.keyboard.press('q');
    await page.getByRole('button', { name: '‹ All stories' }).click();
    await page.getByRole('button', { name: 'Sixty moments', exact: true }).click();
    await page.locator('.story-moment').nth(59).waitFor();
    await printed(screens, 'story-of-sixty');
    await page.getByRole('button', { name: '‹ All stories' }).click();
  });
  await screens.part('actions', async () => {
    await screens.goToPart('Parts of the meeting', 'Actions');
    await page.getByRole('button', { name: /^Second sensor/ }).waitFor();
    await printed(screens, 'actions');
    for (const [action, name] of [[/^Second sensor/, 'measured-again'], [/^Prompt at 60/, 'too-early'], [/^A very long wish number 9/, 'long']] as const) {
      await page.getByRole('button', { name: action }).click();
      await printed(screens, `action-${name}`);
      await page.getByRole('button', { name: 'All actions' }).click();
    }
  });
  await screens.part('reports', async () => {
    await screens.goToPart('Parts of the meeting', 'Reports');
    await page.getByRole('button', { name: 'Make the report' }).click();
    const check = page.getByRole('button', { name: 'Check the words and save…' }).first();
    await check.waitFor({ timeout: 240_000 });
    await printed(screens, 'reports');
    await check.click();
    await page.getByRole('dialog').getByRole('table').first().waitFor({ timeout: 60_000 });
    await printed(screens, 'what-would-go-out');
    await page.keyboard.press('Escape');
  });
  await screens.part('keeping, about, help and keys', async () => {
    await screens.goTo('Library');
    await page.keyboard.press('x');
    await printed(screens, 'keeping');
    await page.getByRole('button', { name: 'Make a new library…' }).click();
    await printed(screens, 'keeping-new');
    await page.keyboard.press('Escape');
    await screens.goTo('About');
    await printed(screens, 'about');
    await page.keyboard.press('?');
    await printed(screens, 'keys');
    await page.keyboard.press('Escape');
    await page.getByRole('button', { name: 'Help', exact: true }).click();
    await page.locator('.help-body').focus();
    await printed(screens, 'help');
    await page.locator('.help-panel').getByRole('button', { name: 'Quality charts', exact: true }).click();
    await page.locator('.help-body').focus();
    await printed(screens, 'help-page');
  });
});
