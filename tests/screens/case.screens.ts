import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import type { Page, Route } from '@playwright/test';
import { writeExport } from '../bench/make-exports.ts';
import { twoClockCase } from '../builders/two-clock-case.ts';
import { holdRequests, walk, type Screens } from './look.ts';

const CASE_BYTES = '**/bytes/case/*';
const GONE = { code: 'case-missing', message: 'The case is no longer in the library.', remedy: 'Read the library again: it may have been removed in another window.' };

async function openCase({ page, goTo }: Pick<Screens, 'page' | 'goTo'>, caseId: string): Promise<void> {
  await goTo('Library');
  await page.getByRole('button', { name: caseId, exact: true }).click();
  await page.getByRole('heading', { level: 1, name: caseId }).waitFor();
  await page.locator('.tl-root[data-drawn="true"], .case-sites, .compare-part').first().waitFor();
}

/** Imports a folder and opens its case. */
async function takeIn(screens: Screens, folder: string): Promise<void> {
  const { page } = screens;
  await screens.goTo('Import');
  const done = page.getByRole('button', { name: 'Done, import something else' });
  if (await done.isVisible()) await done.click();
  await page.getByTestId('folder-input').setInputFiles(folder);
  await page.getByRole('heading', { level: 1, name: 'Import report' }).waitFor({ timeout: 120_000 });
  await page.getByRole('button', { name: `Open ${basename(folder)}` }).click();
  await page.locator('.tl-root[data-drawn="true"]').waitFor({ timeout: 60_000 });
}

/** Presses keys in the timeline, with nothing pointed at. */
async function press(page: Page, ...keys: readonly string[]): Promise<void> {
  await page.mouse.move(2, 2);
  await page.locator('.tl-stage, .tl-tables').first().focus();
  for (const key of keys) await page.keyboard.press(key);
}

const list = (page: Page, name: string): Promise<void> => page.getByRole('tab', { name: new RegExp(`^${name}`) }).click();

/** Waits until a note of a mark can be typed into: earlier, its letters would be commands. */
async function noteFocused(page: Page): Promise<void> {
  await page.locator('.case-mark textarea:focus').waitFor();
}

/** Points at the middle of the row of a name, at so great a share of the plot's width. */
async function pointAt(page: Page, rowTitle: string, share: number): Promise<void> {
  const [plot, row] = [await page.locator('.tl-pointer').first().boundingBox(), await page.locator('.tl-row-title', { hasText: rowTitle }).first().boundingBox()];
  if (plot === null || row === null) throw new Error(`no row ${rowTitle}`);
  await page.mouse.move(plot.x + plot.width * share, row.y + row.height / 2);
}

async function measure(page: Page, fromShare: number, toShare: number): Promise<void> {
  const plot = await page.locator('.tl-pointer').first().boundingBox();
  if (plot === null) throw new Error('no timeline');
  await page.keyboard.down('Shift');
  await page.mouse.move(plot.x + plot.width * fromShare, plot.y + 200);
  await page.mouse.down();
  await page.mouse.move(plot.x + plot.width * toShare, plot.y + 210, { steps: 4 });
  await page.mouse.up();
  await page.keyboard.up('Shift');
}

/** Lets the opening of cases fail; returns what ends that. */
async function failCases(page: Page): Promise<() => Promise<void>> {
  const refuse = (route: Route): Promise<void> => route.fulfill({ status: 404, contentType: 'application/json', body: JSON.stringify({ ok: false, failure: GONE }) });
  await page.route(CASE_BYTES, refuse);
  return () => page.unroute(CASE_BYTES, refuse);
}

walk('case', 'the case: opening, timeline, lists, dialogs', { library: 'samples' }, async (screens) => {
  const { page } = screens;
  const open = (caseId: string): Promise<void> => openCase({ page, goTo: (place) => screens.goTo(place) }, caseId);
  await page.getByText(/19 cases/).first().waitFor({ timeout: 90_000 });
  await screens.part('opening', async () => {
    await screens.goTo('Case');
    await screens.see('none-open');
    await screens.goTo('Library');
    const goOn = await holdRequests(page, CASE_BYTES);
    await page.getByRole('button', { name: 'K01-fade-after-bolus', exact: true }).click();
    await screens.see('opening');
    await goOn();
    await page.getByRole('button', { name: 'Close the case' }).click();
    const endFailing = await failCases(page);
    await page.getByRole('button', { name: 'K01-fade-after-bolus', exact: true }).click();
    await page.getByText('The case could not be opened.').waitFor();
    await screens.see('opening-failed');
    await endFailing();
  });
  await screens.part('timeline', async () => {
    await open('K01-fade-after-bolus');
    await screens.see('whole-case');
    await press(page, 'n');
    await screens.see('dropout-chosen');
    await press(page, 'e');
    await screens.see('what-cannot-be-excluded');
    await press(page, 'e');
    for (const [key, minutes] of [['1', 1], ['2', 5], ['3', 15]] as const) {
      await press(page, key);
      await screens.see(`around-${minutes}-min`);
    }
    await press(page, 't');
    await screens.see('value-table');
    await press(page, 't', '0');
  });
  await screens.part('lanes', async () => {
    const summary = page.locator('summary', { hasText: 'Lanes' });
    await summary.click();
    await screens.see('lane-panel');
    const lanes = page.getByRole('list', { name: 'Lanes from top to bottom' });
    for (const name of ['Rate: up', 'Rate: up', 'Rate: taller', 'Rate: taller']) await lanes.getByRole('button', { name }).click();
    await lanes.getByRole('checkbox', { name: 'Temperature' }).uncheck();
    await screens.see('lane-panel-changed');
    await page.keyboard.press('Escape');
    await screens.see('lanes-reordered');
    await summary.click();
    await page.getByRole('button', { name: 'Lanes as the program has them' }).click();
    await screens.see('lane-panel-back');
    await page.keyboard.press('Escape');
  });
  await screens.part('marks', async () => {
    await list(page, 'Marks');
    await screens.see('list-marks-empty');
    await measure(page, 0.3, 0.55);
    await screens.see('measuring');
    await press(page, 'k');
    await noteFocused(page);
    await screens.see('mark-new');
    await page.keyboard.type('surgeon leans on the arm; curve thin, pulse still palpable at the wrist');
    await page.keyboard.press('Escape');
    await press(page, '.', '.', 'k');
    await noteFocused(page);
    await page.keyboard.type('hand warmed');
    await page.keyboard.press('Escape');
    await screens.see('marks');
  });
  await screens.part('lists', async () => {
    for (const name of ['Low SpO2', 'Restored', 'Exposures', 'Blind']) {
      await list(page, name);
      await screens.see(`list-${name.toLowerCase().replaceAll(' ', '-')}`);
    }
    await list(page, 'Dropouts');
  });
  await screens.part('dialogs', async () => {
    await page.getByRole('button', { name: /^Record: / }).click();
    await screens.see('record');
    await page.keyboard.press('Escape');
    const goOn = await screens.hold('caseSheet');
    await page.getByRole('button', { name: /^Case sheet/ }).click();
    await screens.see('sheet-loading');
    await goOn();
    await page.locator('.paper').waitFor({ timeout: 60_000 });
    await screens.see('sheet');
    await page.keyboard.press('Escape');
    const endFailing = await screens.fail('caseSheet');
    await page.getByRole('button', { name: /^Case sheet/ }).click();
    await screens.see('sheet-failed');
    await endFailing();
    await page.keyboard.press('Escape');
  });
  await screens.part('kinds of cases', async () => {
    for (const caseId of ['K02-arms-tucked', 'K05-move-to-nasal-ala', 'K06-finger-and-ear', 'K07-blind-interval', 'K08-record-gap', 'K09-minute-data', 'K10-without-loss', 'K11-bypass', 'K12-messy-file', 'K13-cold-hands', 'K15-interval-change', 'K17-prone-infusion']) {
      await open(caseId);
      await page.keyboard.press('n');
      await press(page, '0');
      await screens.see(caseId.slice(0, 3));
    }
    await open('K07-blind-interval');
    await list(page, 'Blind');
    await screens.see('list-blind-of-two-sites');
    await open('K08-record-gap');
    await list(page, 'Record gaps');
    await screens.see('list-record-gaps');
    await open('K10-without-loss');
    for (const name of ['Low SpO2', 'Restored', 'Exposures', 'Blind', 'Record gaps']) {
      await list(page, name);
      await screens.see(`no-loss-list-${name.toLowerCase().replaceAll(' ', '-')}`);
    }
  });
  await screens.part('pointed at', async () => {
    const small = { sizes: [[1280, 800]], whole: false, enlarged: false } as const; // in another size something else lies beneath the pointer
    await open('K17-prone-infusion');
    for (const [name, row] of [['phase', 'Phases'], ['state', 'States'], ['infusion', 'norepinephrine']] as const) {
      await pointAt(page, row, 0.5);
      await screens.see(`pointed-at-${name}`, small);
    }
    await open('K13-cold-hands');
    await pointAt(page, 'value status', 0.5);
    await screens.see('pointed-at-doubtful-value', small);
    await pointAt(page, 'finger', 0.55);
    await screens.see('pointed-at-dropout', small);
  });
});

walk('case', 'verdicts on a case', { library: 'samples' }, async (screens) => {
  const { page } = screens;
  const open = (caseId: string): Promise<void> => openCase({ page, goTo: (place) => screens.goTo(place) }, caseId);
  await page.getByText(/19 cases/).first().waitFor({ timeout: 90_000 });
  await screens.part('verdict', async () => {
    await open('K01-fade-after-bolus');
    await page.keyboard.press('j');
    await press(page, 'n');
    await screens.see('verdict-without-a-name');
    await page.locator('.verdict-form input').first().fill('Ada');
    await page.keyboard.press('Enter');
    await page.getByText('no verdict of yours yet').waitFor();
    await press(page);
    await screens.see('verdict-empty');
    await press(page, '4');
    await screens.see('verdict-half');
    await press(page, 'f', '/');
    await page.keyboard.type('curve thin before the loss, hand pale');
    await page.keyboard.press('Escape');
    await page.keyboard.press('w');
    await page.getByText('1 of 2 read').waitFor();
    await press(page, 'p');
    await screens.see('verdict-given');
    await press(page, 'n', 'B');
    await page.keyboard.press('ArrowUp');
    await screens.see('verdict-own-bounds');
    const endFailing = await screens.fail('giveVerdict', { code: 'disk-full', message: 'The verdict could not be written: the disk is full.', remedy: 'Free some space on the disk of the library, then save again.' });
    await press(page, '5', 'g', 'w');
    await page.getByText('The verdict is not saved.').waitFor();
    await screens.see('verdict-disk-full');
    await endFailing();
    await press(page, 'w');
    await page.getByText('2 of 2 read').waitFor();
    await press(page, 'n');
    await screens.see('verdicts-all-given');
    await page.getByRole('button', { name: /^Whole case/ }).click();
    await screens.see('review-of-whole-case');
    await page.keyboard.press('Escape');
  });
  await screens.part('review read', async () => {
    const goOn = await screens.hold('readReview');
    await open('K02-arms-tucked');
    await screens.see('review-loading');
    await goOn();
    const endFailing = await screens.fail('readReview', { code: 'library-damaged', message: 'The trail cannot be read: entry 7 is damaged.', remedy: 'Put back the copy of the library from your last backup.' });
    await open('K04-abrupt-disconnection');
    await page.getByText('What was said of this case could not be read.').waitFor();
    await screens.see('review-failed');
    await endFailing();
    await open('K10-without-loss');
    await screens.see('verdict-without-dropout');
  });
});

walk('case', 'compared with another stretch or case, and its sites with each other', { library: 'samples' }, async (screens) => {
  const { page } = screens;
  const open = (caseId: string): Promise<void> => openCase({ page, goTo: (place) => screens.goTo(place) }, caseId);
  await page.getByText(/19 cases/).first().waitFor({ timeout: 90_000 });
  await screens.part('compare', async () => {
    await open('K01-fade-after-bolus');
    await press(page, 'n');
    await page.getByRole('button', { name: 'Compare', exact: true }).click();
    await screens.see('compare-two-stretches');
    const lower = page.getByLabel('Lower', { exact: true });
    await lower.selectOption({ label: 'K02-arms-tucked' });
    await screens.see('compare-two-cases');
    await page.getByText('Both in a table').click();
    await screens.see('compare-table');
    await page.getByText('Both in a table').click();
    const goOn = await holdRequests(page, CASE_BYTES);
    await lower.selectOption({ label: 'K07-blind-interval' });
    await screens.see('compare-loading');
    await goOn();
    await screens.see('compare-two-sites');
    const endFailing = await failCases(page);
    await lower.selectOption({ label: 'K05-move-to-nasal-ala' });
    await screens.see('compare-failed');
    await endFailing();
    await page.getByRole('button', { name: 'Back to the timeline' }).click();
  });
  await screens.part('sites', async () => {
    const sites = page.getByRole('radio', { name: 'Sites compared' });
    await open('K06-finger-and-ear');
    const goOn = await screens.hold('siteDetail');
    await sites.check({ force: true });
    await screens.see('sites-loading');
    await goOn();
    await page.getByRole('heading', { name: 'SpO2 at both sites' }).waitFor();
    await screens.see('sites');
    await page.getByLabel(/^Show the .* shifted/).check();
    await screens.see('sites-shifted');
    for (const table of ['Stretches of time as a table', 'Values as a table', /stable pairs as a table/, /Course of the perfusion index/]) await page.getByText(table).first().click();
    await screens.see('sites-tables');
    await open('K05-move-to-nasal-ala');
    await sites.check({ force: true });
    await screens.see('sites-one-after-the-other');
    await open('K01-fade-after-bolus');
    await sites.check({ force: true });
    await screens.see('sites-single');
    const endFailing = await screens.fail('siteDetail', { code: 'worker-lost', message: 'The part of the program that compares sites has stopped.', remedy: 'Try it once more.' });
    await open('K07-blind-interval');
    await sites.check({ force: true });
    await screens.see('sites-failed');
    await endFailing();
  });
});

walk('case', 'huge cases and several clocks', { library: 'samples' }, async (screens) => {
  const { page } = screens;
  const files = await mkdtemp(join(tmpdir(), 'lacuna-case-screens-'));
  const folderOf = async (name: string): Promise<string> => {
    await mkdir(join(files, name), { recursive: true });
    return join(files, name);
  };
  try {
    await page.getByText(/19 cases/).first().waitFor({ timeout: 90_000 });
    await screens.part('many dropouts', async () => {
      const folder = await folderOf('many-dropouts');
      for (const [name, text] of Object.entries(manyDropouts())) await writeFile(join(folder, name), text);
      await takeIn(screens, folder);
      await screens.see('many-dropouts');
      await press(page, 'n', 'n');
      await screens.see('many-dropouts-chosen');
      for (const name of ['Low SpO2', 'Restored', 'Exposures', 'Blind']) {
        await list(page, name);
        await screens.see(`many-dropouts-list-${name.toLowerCase().replaceAll(' ', '-')}`);
      }
      await press(page, '0', 't');
      await screens.see('many-dropouts-value-table');
    });
    await screens.part('many values', async () => {
      for (const [name, seconds] of [['ten-hours', 36_000], ['hundred-thousand-values', 100_000]] as const) {
        const folder = await folderOf(name);
        await writeExport(join(folder, 'trends.csv'), 'wide', { seconds });
        await takeIn(screens, folder);
        await screens.see(name);
        await press(page, 'n', '2');
        await screens.see(`${name}-dropout`);
      }
    });
    await screens.part('clocks', async () => {
      const folder = await folderOf('two-clocks');
      for (const [name, text] of Object.entries(twoClockCase(250))) await writeFile(join(folder, name), text);
      await takeIn(screens, folder);
      const goOn = await screens.hold('proposeClockOffsets');
      await page.getByRole('button', { name: /^Clocks/ }).click();
      await screens.see('clocks-loading');
      await goOn();
      const dialog = page.getByRole('dialog');
      await dialog.getByRole('table', { name: 'Files and their clocks' }).waitFor();
      await screens.see('clocks');
      await dialog.getByRole('button', { name: 'Look: clock of keeper.csv' }).click();
      await screens.see('clocks-of-a-file');
      await dialog.getByText('The same as a table').first().click();
      await screens.see('clocks-as-a-table');
      await dialog.getByRole('button', { name: 'Look: clock of keeper-drugs.csv' }).click();
      await dialog.getByLabel('Seconds added to its times').fill('-250');
      await dialog.getByRole('button', { name: /^Show what −250 s would change/ }).click();
      await screens.see('clocks-effect');
      await dialog.getByLabel('Seconds added to its times').fill('two');
      await screens.see('clocks-not-usable');
      await page.keyboard.press('Escape');
      const endFailing = await screens.fail('proposeClockOffsets', { code: 'worker-lost', message: 'The part of the program that compares clocks has stopped.', remedy: 'Try it once more.' });
      await page.getByRole('button', { name: /^Clocks/ }).click();
      await screens.see('clocks-failed');
      await endFailing();
      await page.keyboard.press('Escape');
    });
    await screens.part('24 lanes', async () => {
      const folder = await folderOf('twenty-four-lanes');
      for (const [name, text] of Object.entries(twentyFourLanes())) await writeFile(join(folder, name), text);
      await takeIn(screens, folder);
      const summary = page.locator('summary', { hasText: 'Lanes' });
      await summary.click();
      await screens.see('lanes-24-to-choose');
      const boxes = page.getByRole('list', { name: 'Lanes from top to bottom' }).getByRole('checkbox');
      for (let i = 0; i < (await boxes.count()); i += 1) await boxes.nth(i).check();
      await screens.see('lanes-24-chosen');
      await page.keyboard.press('Escape');
      await press(page);
      await screens.see('lanes-24');
      await press(page, 'n');
      await page.locator('.tl-stage').evaluate((stage) => stage.scrollTo(0, stage.scrollHeight / 2));
      await screens.see('lanes-24-middle');
      await page.locator('.tl-stage').evaluate((stage) => stage.scrollTo(0, stage.scrollHeight));
      await screens.see('lanes-24-end');
      await press(page, 't');
      await screens.see('lanes-24-value-table');
      await press(page, 't');
      await page.getByRole('button', { name: 'Compare', exact: true }).click();
      await screens.see('lanes-24-compare');
    });
  } finally {
    await rm(files, { recursive: true, force: true });
  }
});

function stamp(second: number): string {
  return new Date(Date.UTC(2031, 5, 2, 7) + second * 1000).toISOString().slice(0, 19).replace('T', ' ');
}

/** Six invented hours of two sensors with 195 dropouts, and a bolus every quarter of an hour. */
function manyDropouts(): Record<string, string> {
  const trends = ['Time,SpO2 finger (%),SpO2 ear lobe (%),Perfusion index finger (%),Pulse rate finger (/min),HR (/min)'];
  for (let s = 0; s < 6 * 3600; s += 5) {
    const [isFingerLost, isEarLost] = [s % 150 >= 100, s % 410 >= 340];
    const rate = 70 + Math.round(8 * Math.sin(s / 700));
    trends.push([stamp(s), isFingerLost ? '---' : 96 + ((s / 5) % 4), isEarLost ? '---' : 94 + ((s / 5) % 3), isFingerLost ? '' : (1.6 + Math.sin(s / 900)).toFixed(2), isFingerLost ? '' : rate, rate + 1].join(','));
  }
  const drugs = ['Time,Drug,Dose,Unit'];
  for (let s = 300; s < 6 * 3600; s += 900) drugs.push(`${stamp(s)},phenylephrine,100,mcg`);
  return { 'trends.csv': trends.join('\n'), 'drugs.csv': drugs.join('\n') };
}

const FURTHER = ['CVP (mmHg)', 'PEEP (cmH2O)', 'Tidal volume (mL)', 'Peak airway pressure (cmH2O)', 'Minute volume (L/min)', 'Sevoflurane inspired (%)', 'Sevoflurane expired (%)', 'N2O expired (%)', 'Train of four (count)', 'ST segment II (mm)', 'ST segment V5 (mm)', 'Cardiac output (L/min)', 'Stroke volume variation (%)', 'Pulse pressure variation (%)', 'Compliance (mL/cmH2O)', 'Table height (cm)', 'Urine output (mL)'] as const;

/** Three invented hours at 1 Hz in seven lanes with rules of drawing and seventeen without, and what happened. */
function twentyFourLanes(): Record<string, string> {
  const known = ['SpO2 finger (%)', 'Perfusion index finger (%)', 'Pulse rate finger (/min)', 'HR (/min)', 'ABP systolic (mmHg)', 'ABP diastolic (mmHg)', 'ABP mean (mmHg)', 'Core temperature (Cel)', 'EtCO2 (mmHg)', 'Resp rate (/min)'];
  const trends = [['Time', ...known, ...FURTHER].join(',')];
  for (let s = 0; s <= 3 * 3600; s += 1) {
    const isLost = (s >= 1200 && s < 1290) || (s >= 4000 && s < 4300) || (s >= 7000 && s < 7060);
    const wave = (base: number, sway: number, periodS: number): number => base + sway * Math.sin(s / periodS);
    const whole = (base: number, sway: number, periodS: number): number => Math.round(wave(base, sway, periodS));
    trends.push([stamp(s), isLost ? '---' : 96 + (s % 3), isLost ? '' : wave(2, 1, 800).toFixed(2), isLost ? '' : whole(70, 8, 700), whole(71, 8, 700), whole(118, 18, 900), whole(60, 9, 900), whole(79, 12, 900), wave(36.2, 0.4, 3000).toFixed(1), whole(36, 3, 600), whole(13, 2, 1000), ...FURTHER.map((_, i) => wave(20 + 3 * i, 2 + i, 400 + 90 * i).toFixed(1))].join(','));
  }
  const events = ['Time,Event,Dose,Unit', `${stamp(30)},Anaesthesia start,,`, `${stamp(600)},Arms tucked,,`, `${stamp(900)},Incision,,`, `${stamp(960)},phenylephrine,100,mcg`, `${stamp(3800)},phenylephrine,100,mcg`, `${stamp(6500)},Head down 20 degrees,,`, `${stamp(10_500)},Anaesthesia end,,`];
  return { 'trends.csv': trends.join('\n'), 'events.csv': events.join('\n') };
}
