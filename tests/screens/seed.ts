/** A library with enough in it for the places that are empty over the sample cases alone. All of it is invented. */
import { randomUUID } from 'node:crypto';
import { cp, mkdtemp, rename, rm, stat } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium, expect, type Page } from '@playwright/test';
import type { Story, StoryMoment } from '../../core/model/story.ts';
import type { Verdict } from '../../core/model/review.ts';
import { launchOptions } from '../e2e/browser.ts';
import { WindowPage } from '../e2e/pages/window-page.ts';
import { startWorkstation } from '../e2e/workstation.ts';
import { callHost } from './call-host.ts';

const SEED = fileURLToPath(new URL('../../screens/seed', import.meta.url));
export const LONG_CASE_NAME = 'Ward-nineteen-theatre-with-an-extraordinarily-long-identifier-0123456789-abcdefghijklmnop';
export const LONG_READER_NAME = 'Cleopatra Montgomery-Featherstonehaugh';

/** Returns the data folder to copy from; the first call makes it, which takes about a minute. Remove `screens/seed` to have it made anew. */
export async function seededFolder(): Promise<string> {
  const isThere = await stat(SEED).then(() => true, () => false);
  if (!isThere) await makeSeed();
  return SEED;
}

async function makeSeed(): Promise<void> {
  const dataFolder = await mkdtemp(join(tmpdir(), 'lacuna-seed-'));
  const workstation = await startWorkstation({ dataFolder });
  const browser = await chromium.launch(launchOptions());
  try {
    const page = await browser.newPage({ locale: 'en-GB', timezoneId: 'UTC' });
    const frame = new WindowPage(page);
    await frame.open(workstation.address);
    await page.getByText(/19 cases/).first().waitFor({ timeout: 90_000 });
    await importTwoYears(frame);
    await giveVerdicts(page);
    await makeChart(frame);
    await writeActions(page);
    await writeStories(frame);
  } finally {
    await browser.close();
    await workstation.stop();
  }
  // Whole or not at all: a walk that is stopped leaves no half of it behind.
  await cp(dataFolder, `${SEED}.making`, { recursive: true });
  await rename(`${SEED}.making`, SEED);
  await rm(dataFolder, { recursive: true });
}

/** 96 cases in 24 months, fewer losses in the second part, and one of a very long name. */
async function importTwoYears(frame: WindowPage): Promise<void> {
  const rows = Array.from({ length: 96 }, (_, i) => {
    const startMs = Date.UTC(2030, Math.floor(i / 4), 2 + (i % 4) * 6, 8);
    const hasLoss = i % (i < 60 ? 2 : 6) === 0;
    return Array.from({ length: 121 }, (_row, s) => `C-${String(i).padStart(2, '0')},${new Date(startMs + s * 10_000).toISOString().replace('T', ' ').slice(0, 19)},${hasLoss && s >= 30 && s < 39 + (i % 7) ? '' : 97}`);
  }).flat();
  const ofLongName = Array.from({ length: 121 }, (_, s) => `${LONG_CASE_NAME},2031-02-03 08:${String(Math.floor(s / 6)).padStart(2, '0')}:${String((s % 6) * 10).padStart(2, '0')},${s >= 30 && s < 60 ? '' : 97}`);
  await frame.goTo('Import');
  await frame.page.getByTestId('file-input').setInputFiles([{ name: 'ward.csv', mimeType: 'text/csv', buffer: Buffer.from(['Case ID,Time,SpO2 finger (%)', ...rows, ...ofLongName, ''].join('\n')) }]);
  await frame.page.getByRole('heading', { level: 1, name: 'Import report' }).waitFor({ timeout: 90_000 });
}

/** Three readers of the nine sample cases with the most dropouts; the second disagrees about a third of them, the third read half. */
async function giveVerdicts(page: Page): Promise<void> {
  const chosen: readonly Verdict[] = ['low perfusion', 'motion', 'no loss', 'sensor off or displaced', 'cannot tell'];
  const cases = [...(await callHost(page, 'listCases', null))].filter(({ caseId }) => caseId.startsWith('K')).sort((a, b) => b.dropouts - a.dropouts).slice(0, 9);
  const parameters = await callHost(page, 'getParameters', null);
  for (const { caseKey } of cases) {
    const { sites } = await callHost(page, 'analyze', { caseKey, parameters });
    const dropoutIds = sites.flatMap(({ dropouts }) => dropouts).map(({ dropoutId }) => dropoutId);
    for (const [reader, by] of ['Ada', 'Ben', LONG_READER_NAME].entries()) {
      for (const [i, dropoutId] of dropoutIds.entries()) {
        if (reader === 2 && i % 2 === 1) continue;
        const verdict = chosen[(i + (reader === 1 && i % 3 === 0 ? 1 : 0)) % chosen.length] ?? 'cannot tell';
        const certainty = verdict === 'cannot tell' ? null : ((['possible', 'probable', 'certain'] as const)[i % 3] ?? null);
        const note = i === 0 ? 'Seen on the pulse lane: four beats after the cuff, then nothing until the arm was freed.' : '';
        await callHost(page, 'giveVerdict', { caseKey, dropoutId, by, blinded: true, judgement: { verdict, certainty, note, correctedBounds: null } });
      }
    }
    for (const by of ['Ada', 'Ben']) await callHost(page, 'markCaseRead', { caseKey, by, blinded: true });
  }
  const [worst] = cases;
  if (worst !== undefined) await callHost(page, 'flagCase', { caseKey: worst.caseKey, by: 'Ada', flags: ['worth discussing'], note: 'for the meeting', blinded: false });
}

async function makeChart(frame: WindowPage): Promise<void> {
  const { page } = frame;
  await frame.goTo('Cohort');
  await page.getByRole('navigation', { name: 'Parts of the cohort' }).getByRole('button', { name: /^Quality charts/ }).click();
  await page.getByRole('button', { name: 'Make a chart' }).click();
  await page.getByLabel('What a point is').selectOption('cases with a long loss');
  // The columns of every case are looked for first, which a machine that does much else takes its time for.
  await page.getByRole('button', { name: 'See what it would look like' }).click({ timeout: 180_000 });
  await page.getByLabel('Name of the chart').fill('Long dropouts');
  await page.getByLabel('Reason (kept with the chart)').fill('first look');
  await page.getByRole('button', { name: 'Make the chart' }).click();
  await page.getByText('No action of a meeting is measured by this chart.').waitFor({ timeout: 60_000 });
}

/** One measured again, one measured too early, one not carried out, forty open ones of which some are overdue or very long. */
async function writeActions(page: Page): Promise<void> {
  const today = new Date().toISOString().slice(0, 10);
  const [chart] = await callHost(page, 'listQualityCharts', null);
  const add = async (what: string, ownerRole: string, due: string | null, isMeasured: boolean): Promise<string> => {
    const { actionId } = await callHost(page, 'addAction', { today, draft: { what, ownerRole, due, chartId: isMeasured ? (chart?.chartId ?? null) : null }, origin: { kind: 'by hand' }, saidNoPerson: true });
    return actionId;
  };
  const editionOf = async (actionId: string): Promise<number> => (await callHost(page, 'listActions', { today })).find(({ action }) => action.actionId === actionId)?.action.edition ?? 0;
  const change = async (actionId: string, date: string, text: string): Promise<void> => {
    await callHost(page, 'editAction', { today, actionId, edition: await editionOf(actionId), saidNoPerson: true, edit: { kind: 'say change', date, text } });
    await callHost(page, 'measureAgain', { today, actionId, edition: await editionOf(actionId), jobId: randomUUID().replaceAll('-', '') });
  };
  await change(await add('Second sensor on the ear lobe whenever both arms are tucked', 'lead for monitoring', '2020-06-30', true), '2031-04-01', 'second sensor with tucked arms');
  await change(await add('Prompt at 60 s of loss', 'equipment group', today, true), '2031-12-20', 'prompt on every monitor');
  const notCarriedOut = await add('Reflectance sensor on the forehead where fingers are cold', 'stores', null, false);
  await callHost(page, 'editAction', { today, actionId: notCarriedOut, edition: await editionOf(notCarriedOut), saidNoPerson: true, edit: { kind: 'settle', as: 'not carried out', reason: 'no budget this year' } });
  for (let i = 0; i < 40; i += 1) {
    const what = i % 9 === 0 ? `A very long wish number ${i}: that everybody who tucks an arm looks, before the drapes go up, whether the pulse lane still shows what it showed before, and says so aloud, and that whoever relieves them is told so at the handover` : `Agreed thing number ${i + 1}`;
    await add(what, i % 5 === 0 ? 'lead for the equipment of the day surgery unit and its recovery rooms' : 'equipment group', i % 3 === 0 ? null : `2027-0${1 + (i % 9)}-15`, i % 2 === 0);
  }
}

/** A story of four views and words, one of sixty moments, one of a very long title, an empty one. */
async function writeStories(frame: WindowPage): Promise<void> {
  const { page } = frame;
  for (const [i, caseId] of ['K06-finger-and-ear', 'K07-blind-interval', 'K11-bypass', 'K02-arms-tucked'].entries()) {
    await frame.goTo('Library');
    await page.getByLabel('Name or file holds').fill(caseId);
    await page.getByRole('button', { name: caseId, exact: true }).click();
    await page.locator('.tl-root[data-drawn="true"]').first().waitFor();
    await page.locator('.tl-stage').focus();
    await page.keyboard.press('n'); // the first dropout
    await expect(page.locator('.tl-root[data-drawn="true"]').first()).toBeVisible();
    await page.keyboard.press('Shift+C');
    const dialog = page.getByRole('dialog', { name: 'Collect a moment' });
    await dialog.waitFor();
    if (i === 0) await dialog.getByLabel('Title of the new story').fill('Both arms tucked');
    await dialog.getByLabel('Notes for the presenter').fill('Pause here. Ask who saw the pulse lane at that time.\nThen the second sensor.');
    await dialog.getByRole('button', { name: 'Collect' }).click();
    await dialog.waitFor({ state: 'detached' });
  }
  const [collected] = await callHost(page, 'listStories', null);
  if (collected === undefined) throw new Error('no story was made');
  const idOf = (n: number): string => n.toString(16).padStart(32, '0');
  const parts: readonly StoryMoment['part'][] = ['follow-up', 'situation', 'background', 'known when', 'assessment', 'factors', 'went well', 'recommendations'];
  const titles = ['Who saw it?', 'Arms tucked before the sensor was checked', 'Second sensor asked for', 'A title that is so long that it will certainly not fit on one line of a screen however wide that screen is, or at least that was hoped when it was written'];
  const partOf = (i: number): StoryMoment['part'] => parts[i % parts.length] ?? 'situation';
  const words = (i: number): StoryMoment => ({ momentId: idOf(7000 + i), part: partOf(i), factor: partOf(i) === 'factors' ? 'team' : null, title: titles[i % titles.length] ?? '', text: 'The arm was tucked at +0:12:00.\n– The pulse lane was flat.\n– Nobody had a reason to look at it.', notes: '', view: null });
  const keep = (story: Story): Promise<unknown> => callHost(page, 'keepStory', { story });
  await keep({ ...collected, moments: [...collected.moments, words(0), words(7), words(6)], question: 'Would a second sensor have told us earlier?', hidesLater: true });
  const moments = Array.from({ length: 60 }, (_, i): StoryMoment => {
    const view = collected.moments[i % collected.moments.length];
    return i % 3 === 0 && view !== undefined ? { ...view, momentId: idOf(5000 + i), part: partOf(i) } : { ...words(i), momentId: idOf(6000 + i) };
  });
  const sixty: Story = { storyId: idOf(99), revision: 0, title: 'Sixty moments', question: '', minutesPerCase: 12, hidesLater: false, moments };
  await keep(sixty);
  await keep({ ...sixty, storyId: idOf(100), title: 'A story whose title is very long because somebody wrote the whole question of the meeting into it, and then some more of it', moments: moments.slice(0, 3) });
  await keep({ ...sixty, storyId: idOf(101), title: 'Empty one', moments: [] });
}
