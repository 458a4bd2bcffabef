import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Locator } from '@playwright/test';
import { twoClockCase } from '../builders/two-clock-case.ts';
import { ImportPage, textFile, type GivenFile } from '../e2e/pages/import-page.ts';
import { SIZES, walk, type Choice, type Failed, type Screens } from './look.ts';

const AREA = 'library';
const SAMPLES = fileURLToPath(new URL('../../sample-cases/cases', import.meta.url));
/** For what differs from another state in few words. */
const SMALL: Choice = { sizes: [SIZES[0]], whole: false, enlarged: false };
const HALF: Choice = { sizes: [SIZES[0], SIZES[1]], enlarged: false };
/** Lists of thousands are of one height in any look. */
const HUGE_LOOK: Choice = { looks: ['light'], enlarged: false, whole: false };
/** A folder with a library of thousands of cases; a copy. */
const HUGE = process.env['LACUNA_HUGE_LIBRARY'];
const LONG_MS = 120_000;

const DAMAGED: Failed = { code: 'library-damaged', message: 'The file library.json in the folder of the library cannot be read: unexpected end at byte 112.', remedy: 'Put back the copy of the library from your last backup, then try again.' };

const two = (value: number): string => String(value).padStart(2, '0');
const clockOf = (second: number): string => `08:${two(Math.floor(second / 60))}:${two(second % 60)}`;
const rangeOf = <T>(length: number, of: (i: number) => T): T[] => Array.from({ length }, (_, i) => of(i));

/** Four minutes at 1 s with a loss from 1 min 40 s on. */
function record(name: string, lostS: number, { moreRows = 0, date = '2031-04-23' } = {}): GivenFile {
  return textFile(name, ['Time,SpO2,HR', ...rangeOf(240 + moreRows, (i) => `${date} ${clockOf(i)},${i >= 100 && i < 100 + lostS ? '---' : '98'},${70 + (i % 5)}`)].join('\n'));
}

/** An export of which no column says what it is. */
function unknownExport(name: string, rows: number): GivenFile {
  return textFile(name, ['Stunde;Kanal 7;Kanal 8;Bemerkung', ...rangeOf(rows, (i) => `${clockOf(i)};${i >= 100 && i < 160 ? '-?-' : '97'};${70 + (i % 5)};${i === 10 ? 'zorblaxin 5 mg' : ''}`)].join('\n'));
}

/** A file in which every third row has no time in its first column. */
function stamps(name: string, value = 98): GivenFile {
  return textFile(name, ['Time,Stored,SpO2', ...rangeOf(240, (i) => `${i % 3 === 0 ? '' : `2031-04-23 ${clockOf(i)}`},2031-04-23 ${clockOf(i)},${i >= 100 && i < 160 ? '---' : value}`)].join('\n'));
}

const button = ({ page }: Screens, name: string | RegExp): Locator => page.getByRole('button', { name, exact: typeof name === 'string' });

async function idle(screens: Screens): Promise<void> {
  const { page } = screens;
  await screens.goTo('Import');
  for (const name of ['Take in files', 'Back to the report', 'Done, import something else', 'Leave it', 'Leave']) {
    const found = button(screens, name);
    await page.waitForTimeout(150); // what stands there after the last press
    if (await found.isVisible()) await found.click();
  }
  await page.getByTestId('drop-zone').waitFor();
}

async function report(screens: Screens): Promise<void> {
  await screens.page.getByRole('heading', { level: 1, name: 'Import report' }).waitFor({ timeout: LONG_MS });
}

async function read(screens: Screens, files: readonly GivenFile[] | string): Promise<void> {
  const imports = new ImportPage(screens.page);
  await (typeof files === 'string' ? imports.chooseFolder(files) : imports.chooseFiles([...files]));
  await report(screens);
}

/** A part that begins on the empty import page. */
async function importing(screens: Screens, name: string, through: () => Promise<void>): Promise<void> {
  await screens.part(name, async () => {
    await idle(screens);
    await through();
  });
}

async function inFolder(through: (folder: string) => Promise<void>): Promise<void> {
  const folder = await mkdtemp(join(tmpdir(), 'lacuna-screens-'));
  try {
    await through(folder);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

walk(AREA, 'library of the sample cases', { library: 'seeded' }, async (screens) => {
  const { page } = screens;
  const cases = page.getByRole('grid', { name: 'Cases' }).locator('tr[data-row]');
  await cases.nth(18).waitFor({ timeout: LONG_MS });
  await screens.see('filled');

  await screens.part('chosen and filtered', async () => {
    for (const nth of [1, 3]) {
      await cases.nth(nth).focus();
      await page.keyboard.press('Space');
    }
    await screens.see('chosen', HALF);
    await page.getByLabel('Name or file holds').fill('K0');
    await screens.see('filtered', SMALL);
    await page.getByLabel('Name or file holds').fill('nothing like it');
    await screens.see('no-match', HALF);
    await page.getByLabel('Lost at least, min').fill('abc');
    await screens.see('filter-wrong', SMALL);
    await button(screens, 'Show all').click();
    await button(screens, 'Choose none').click();
  });

  await screens.part('removing', async () => {
    await page.getByLabel('Name or file holds').fill('K01');
    await button(screens, /^Remove K01/).click();
    await screens.see('remove', HALF);
    const refused = await screens.fail('removeCase');
    await button(screens, 'Remove it').click();
    await screens.see('remove-failed', SMALL);
    await refused();
    await page.keyboard.press('Escape');
    await page.getByLabel('Name or file holds').fill('');
  });

  await screens.part('reading the library', async () => {
    const undo = await screens.fail('listCases', DAMAGED);
    await page.reload();
    await page.getByText('The library could not be read.').waitFor();
    await screens.see('failed', HALF);
    await undo();
    const goOn = await screens.hold('listCases');
    await page.reload();
    await page.getByText('Reading the library…').waitFor();
    await screens.see('loading', SMALL);
    await goOn();
    await cases.first().waitFor({ timeout: LONG_MS });
    const states = await screens.fail('listReviewStates');
    await page.reload();
    await page.getByText('The state of review is not shown.').waitFor();
    await screens.see('review-state-failed', SMALL);
    await states();
  });

  await screens.part('a case that cannot be opened', async () => {
    const undo = await screens.answer('listCases', (all) => all.map((one, i) => (i === 2 ? { ...one, problem: 'The stored case is damaged: its digest does not fit. Import it again from its files.' } : i === 5 ? { ...one, problem: 'The stored case was written by a newer version of this program. Open it with that version.' } : one)));
    await page.reload();
    await page.getByText(/Cannot be opened/).first().waitFor();
    await page.getByText(/Cannot be opened/).first().scrollIntoViewIfNeeded();
    await screens.see('damaged-cases', HALF);
    await undo();
  });
});

walk(AREA, 'importing, mapping, ledger', { library: { folder: join(tmpdir(), `lacuna-screens-${process.pid}`, 'library') } }, async (screens) => {
  const { page } = screens;
  const dialog = page.getByRole('dialog');
  await screens.part('empty', async () => {
    await page.getByRole('heading', { name: 'No case is here yet' }).waitFor({ timeout: LONG_MS });
    await screens.see('empty');
    await screens.goTo('Import');
    await screens.see('import-empty');
    await page.getByTestId('drop-zone').dispatchEvent('dragover', { dataTransfer: await page.evaluateHandle(() => new DataTransfer()) });
    await screens.see('import-drag-over', SMALL);
    await button(screens, 'Ledger').click();
    await screens.see('ledger-empty', HALF);
  });

  await importing(screens, 'a good folder', async () => {
    const goOn = await screens.hold('runImport');
    await new ImportPage(page).chooseFolder(join(SAMPLES, 'K01-fade-after-bolus'));
    await page.waitForTimeout(800);
    await screens.see('import-working', HALF);
    await goOn();
    await report(screens);
    await screens.see('import-good');
  });

  await importing(screens, 'a messy file', async () => {
    await read(screens, join(SAMPLES, 'K12-messy-file'));
    await screens.see('import-messy');
    await page.getByText(/rejected, first at line/).first().click();
    await screens.see('import-messy-rejected', HALF);
    await button(screens, /^Change what .* is read as/).first().click();
    await screens.see('import-messy-column', HALF);
  });

  await importing(screens, 'a folder of which most cannot be read', () => inFolder(async (folder) => {
    await mkdir(join(folder, 'mixed', 'good'), { recursive: true });
    await writeFile(join(folder, 'mixed', 'good', 'trends.csv'), record('trends.csv', 60).buffer);
    const picture = Buffer.from([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10, 0, 0, 0, 13, 0x49, 0x48, 0x44, 0x52, 0, 1, 2, 3]);
    await writeFile(join(folder, 'mixed', 'picture.csv'), picture);
    await writeFile(join(folder, 'mixed', 'empty.csv'), '');
    await writeFile(join(folder, 'mixed', 'letter.txt'), 'Dear colleague,\nthank you for the referral.\n');
    for (const [name, filler] of [['broken.xlsx', 7], ['broken.zip', 9]] as const) await writeFile(join(folder, 'mixed', name), Buffer.concat([Buffer.from('PK\x03\x04'), Buffer.alloc(200, filler)]));
    await read(screens, join(folder, 'mixed'));
    await screens.see('import-mixed');
    await idle(screens);
    await mkdir(join(folder, 'all-bad'));
    await writeFile(join(folder, 'all-bad', 'picture.csv'), picture);
    await new ImportPage(page).chooseFolder(join(folder, 'all-bad'));
    await page.waitForTimeout(3000);
    await screens.see('import-all-bad', HALF);
  }));

  await importing(screens, 'a date that can be read in two ways', async () => {
    await read(screens, [record('ambiguous.csv', 60, { date: '03/04/2031' })]);
    await screens.see('import-ambiguous', HALF);
    await page.locator('.guess').filter({ hasText: 'month' }).first().getByLabel('Read it as').selectOption({ index: 1 });
    await screens.see('import-overruled', SMALL);
    await button(screens, 'Done, import something else').click();
    await screens.see('import-leave', SMALL);
    await dialog.getByRole('button', { name: 'Leave' }).click();
  });

  await importing(screens, 'a case that is known and differs', async () => {
    await read(screens, [record('known.csv', 47)]);
    await idle(screens);
    await read(screens, [record('known.csv', 47)]);
    await screens.see('import-read-before', SMALL);
    await idle(screens);
    await read(screens, [record('known.csv', 90, { moreRows: 12 })]);
    await screens.see('import-known', HALF);
    await button(screens, 'Look and decide… known').click();
    await screens.see('import-change', HALF);
    await dialog.getByRole('button', { name: 'Decide later' }).click();
    await button(screens, 'Done, import something else').click();
    await screens.see('import-leave-waiting', SMALL);
    await dialog.getByRole('button', { name: 'Leave' }).click();
  });

  await importing(screens, 'what is kept out', async () => {
    const rows = rangeOf(60, (i) => `Zorvath Anna,48213377,2031-04-24 08:00:${two(i)},${i > 20 && i < 40 ? '' : 97},70,${i === 5 ? 'Mr Zorvath restless' : ''}`);
    await read(screens, [textFile('Zorvath_Anna.csv', ['Patient name,MRN,Time,SpO2,HR,Remark', ...rows].join('\n'))]);
    const section = page.locator('details.file-section').first();
    if ((await section.getAttribute('open')) === null) await section.locator('summary').first().click();
    await page.locator('.kept-out').scrollIntoViewIfNeeded();
    await screens.see('import-kept-out');
  });

  await importing(screens, 'a file that has to be mapped', async () => {
    await read(screens, [unknownExport('saal.csv', 240)]);
    await screens.see('import-unsure');
    const goOn = await screens.hold('previewFile');
    await button(screens, 'saal.csv').click();
    await page.waitForTimeout(600);
    await screens.see('mapping-loading', SMALL);
    await goOn();
    await page.getByRole('heading', { level: 1, name: 'How this file is read' }).waitFor();
    await screens.see('mapping');
    const nameSeven = async (): Promise<void> => {
      await button(screens, /^Kanal 7/).click();
      await page.getByLabel('What it is').selectOption({ label: 'SpO2' });
      await page.waitForTimeout(1200);
    };
    await nameSeven();
    await screens.see('mapping-column', HALF);
    for (const [tab, name] of [[/^Phrases/, 'phrases'], ['The file', 'file'], ['What is kept', 'kept']] as const) {
      await page.getByRole('tab', { name: tab }).click();
      await screens.see(`mapping-${name}`, HALF);
    }
    const refused = await screens.fail('previewFile', { code: 'worker-lost', message: 'The part of the program that reads files has stopped.', remedy: 'Try it once more.' });
    await button(screens, 'Undo').click();
    await page.waitForTimeout(1200);
    await screens.see('mapping-failed', HALF);
    await refused();
    await nameSeven();
    await button(screens, 'Save as a mapping…').click();
    await screens.see('mapping-save', SMALL);
    await dialog.getByLabel('Name', { exact: true }).fill('saal export');
    await dialog.getByRole('button', { name: 'Save' }).click();
    await dialog.waitFor({ state: 'detached' });
    await button(screens, 'Read again with this').click();
    await report(screens);
    await screens.see('import-mapped', HALF);
    await idle(screens);
    await screens.see('import-with-mappings', HALF);
    await read(screens, [unknownExport('other.csv', 200)]);
    await screens.see('import-mapping-offer', SMALL);
  });

  await importing(screens, 'a rejected row', async () => {
    await read(screens, [textFile('far.csv', ['Seconds,SpO2,HR', ...rangeOf(900, (i) => `${i === 700 ? 'nonsense' : i},97,70`)].join('\n'))]);
    const section = await new ImportPage(page).file('far.csv');
    await section.getByText(/rejected, first at line 702/).click();
    await button(screens, 'Settle how line 702 is read').click();
    await page.getByRole('heading', { level: 1, name: 'How this file is read' }).waitFor();
    await page.waitForTimeout(800);
    await screens.see('mapping-rejected', HALF);
    await button(screens, 'Back to the report').click();
  });

  await importing(screens, 'a failed and a cancelled import', async () => {
    const refused = await screens.fail('runImport', { code: 'disk-full', message: 'The library could not be written: the disk is full. Nothing of this import was stored.', remedy: 'Free some space on the disk of the library, then import the files again.' });
    await new ImportPage(page).chooseFolder(join(SAMPLES, 'K02-arms-tucked'));
    await page.waitForTimeout(2500);
    await screens.see('import-failed', HALF);
    await refused();
    await idle(screens);
    const rows = rangeOf(300_000, (i) => `${i},98,${70 + (i % 5)}`).join('\n');
    await new ImportPage(page).chooseFiles(rangeOf(3, (i) => textFile(`a-very-long-name-of-an-export-from-the-third-theatre-of-the-day-surgery-unit-large-${i}.csv`, `Seconds,SpO2,HR\n${rows}`)));
    await button(screens, 'Cancel').waitFor();
    await screens.see('import-reading', { ...SMALL, looks: ['light'] });
    await button(screens, 'Cancel').click();
    await page.getByText('The import was cancelled.').waitFor();
    await screens.see('import-cancelled', SMALL);
  });

  await importing(screens, 'ledger', async () => {
    await read(screens, [stamps('stamps.csv')]);
    await idle(screens);
    const listing = await screens.hold('listLedger');
    await button(screens, 'Ledger').click();
    await page.waitForTimeout(500);
    await screens.see('ledger-loading', SMALL);
    await listing();
    await page.locator('tr[data-import]').first().waitFor();
    await screens.see('ledger');
    await page.locator('tr[data-import]').first().getByRole('button', { name: /^Open the import of/ }).click();
    await page.getByText('80 rows: no time').waitFor();
    await screens.see('ledger-entry');
    await page.getByText('80 rows: no time').click();
    await button(screens, 'Show the rows of stamps.csv: no time').click();
    await page.locator('.rejected-table').first().scrollIntoViewIfNeeded();
    await screens.see('ledger-rows', HALF);
    const again = button(screens, 'Correct the mapping and take them in again…');
    await again.click();
    await screens.see('ledger-again', SMALL);
    await page.getByTestId('again-files').setInputFiles([stamps('stamps.csv', 97)]);
    await page.waitForTimeout(1000);
    await screens.see('ledger-again-foreign', SMALL);
    await button(screens, 'Ledger').click();
    await again.click();
    await page.getByTestId('again-files').setInputFiles([stamps('called otherwise now.csv')]);
    await report(screens);
    await screens.see('import-taken-again', HALF);
    await idle(screens);
    const refused = await screens.fail('listLedger', { code: 'library-damaged', message: 'The ledger cannot be read: entry 7 is damaged.', remedy: 'Put back the copy of the library from your last backup.' });
    await page.reload();
    await screens.goTo('Import');
    await button(screens, 'Ledger').click();
    await page.getByText('entry 7 is damaged').first().waitFor();
    await screens.see('ledger-failed', SMALL);
    await refused();
  });

  await importing(screens, 'clocks of files', () => inFolder(async (folder) => {
    await mkdir(join(folder, 'two-clocks'));
    for (const [name, text] of Object.entries(twoClockCase(250))) await writeFile(join(folder, 'two-clocks', name), text);
    await read(screens, join(folder, 'two-clocks'));
    await button(screens, 'Open two-clocks').click();
    await page.locator('.tl-root[data-drawn="true"]').first().waitFor();
    const judging = await screens.hold('proposeClockOffsets');
    await button(screens, /^Clocks/).click();
    await page.waitForTimeout(500);
    await screens.see('clocks-loading', SMALL);
    await judging();
    const files = dialog.getByRole('table', { name: 'Files and their clocks' });
    await files.getByText('proposed').first().waitFor();
    await screens.see('clocks');
    await files.getByRole('row').filter({ hasText: 'keeper.csv' }).first().getByRole('button').click();
    await page.waitForTimeout(1500);
    await screens.see('clocks-chosen');
    await dialog.getByText('The same as a table').first().click();
    await screens.see('clocks-table', HALF);
    await dialog.getByRole('button', { name: 'Look: clock of keeper-drugs.csv' }).click();
    await dialog.getByLabel('Seconds added to its times').fill('-250');
    await dialog.getByRole('button', { name: /^Show what −250\ss would change/ }).click();
    await page.waitForTimeout(1500);
    await screens.see('clocks-effect', HALF);
    await dialog.getByLabel('Seconds added to its times').fill('two');
    await screens.see('clocks-wrong', SMALL);
    await page.keyboard.press('Escape');
  }));
});

walk(AREA, 'learning by doing', { library: 'samples' }, async (screens) => {
  const { page } = screens;
  const bar = page.getByRole('region', { name: 'Learn by doing' });
  const stands = (title: string) => bar.getByText(title).first().waitFor();
  await page.getByRole('grid', { name: 'Cases' }).locator('tr[data-row]').nth(18).waitFor({ timeout: LONG_MS });
  await screens.see('tour-offer', HALF);
  await screens.part('the steps', async () => {
    await button(screens, 'Learn by doing').click();
    await stands('Open the case that lost most');
    await screens.see('tour-worst', HALF);
    await button(screens, 'K11-bypass').click();
    await page.locator('.tl-root[data-drawn="true"]').first().waitFor();
    await screens.see('tour-next');
    await page.keyboard.press('n');
    await stands('Read what cannot be excluded');
    await screens.see('tour-bound', HALF);
    await page.locator('summary', { hasText: 'What cannot be excluded inside it' }).click();
    await stands('See what came before');
    await screens.see('tour-before', HALF);
    await page.getByRole('tab', { name: /^Exposures/ }).click();
    await stands('Say what it was');
    await screens.see('tour-verdict', HALF);
    await bar.getByRole('button', { name: 'Skip this' }).click();
    await stands('Ask how a figure is worked out');
    await screens.see('tour-help', HALF);
    await page.keyboard.press('F1');
    await stands('Move a definition');
    await screens.see('tour-definition-with-help', HALF);
    await page.keyboard.press('Escape');
    await page.keyboard.press('d');
    await screens.see('tour-definition', HALF);
    await page.getByRole('radio', { name: '10 min' }).check({ force: true });
    await stands('Put it back');
    await screens.see('tour-back', HALF);
    await button(screens, 'Back to the library’s').click();
    await stands('Read the cautions');
    await screens.see('tour-cautions', HALF);
    await page.keyboard.press('a');
    await page.getByText('Those were the steps.').first().waitFor();
    await screens.see('tour-done', HALF);
  });
});

if (HUGE !== undefined) {
  walk(AREA, 'thousands of cases', { library: { folder: HUGE } }, async (screens) => {
    const { page } = screens;
    page.setDefaultTimeout(LONG_MS);
    await page.getByRole('grid', { name: 'Cases' }).locator('tr[data-row]').first().waitFor({ timeout: LONG_MS });
    await screens.see('huge', HUGE_LOOK);
    await screens.part('chosen', async () => {
      await button(screens, /^Choose all/).click();
      await screens.see('huge-chosen', HUGE_LOOK);
      await screens.goTo('Sites');
      await page.waitForTimeout(1500);
      await screens.see('huge-sites-working', { ...HUGE_LOOK, sizes: [SIZES[0]] });
      await button(screens, 'Cancel').waitFor({ state: 'detached', timeout: 8 * LONG_MS });
      await screens.see('huge-sites', { ...HUGE_LOOK, whole: true });
    });
    await screens.part('reports', async () => {
      await screens.goTo('Meeting');
      await screens.goToPart('Parts of the meeting', 'Reports');
      await page.waitForTimeout(1500);
      await screens.see('huge-reports', { ...HUGE_LOOK, whole: true });
    });
    await screens.part('import of many cases in one file', async () => {
      await screens.goTo('Import');
      const rows = rangeOf(1500, (c) => rangeOf(40, (i) => `N-${c},2032-03-04 ${clockOf(i * 10)},${i > 10 && i < 16 ? '' : 97}`)).flat();
      await read(screens, [textFile('many.csv', ['Case ID,Time,SpO2 finger (%)', ...rows].join('\n'))]);
      await screens.see('huge-import', { ...HUGE_LOOK, whole: true });
    });
  });
}
