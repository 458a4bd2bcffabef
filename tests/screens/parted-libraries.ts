/** Two libraries that read the same records and parted: what one sends to the other holds every kind of conflict. All of it is invented. */
import { createHash, randomUUID } from 'node:crypto';
import { cp, readFile, readdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Page } from '@playwright/test';
import type { TrailEntry, Verdict } from '../../core/model/review.ts';
import { canonicalJson } from '../../core/review/trail.ts';
import { ImportPage, textFile, type GivenFile } from '../e2e/pages/import-page.ts';
import { WindowPage } from '../e2e/pages/window-page.ts';
import { startWorkstation } from '../e2e/workstation.ts';
import { callHost } from './call-host.ts';

/** Half an hour at one value every 5 s with losses of 60 s that begin at these seconds. */
function recordOf(caseId: string, lossesAtS: readonly number[], fromS = 0, value = 97): string {
  return Array.from({ length: 360 }, (_, i) => {
    const s = fromS + i * 5;
    const at = new Date(Date.UTC(2031, 5, 2, 8) + s * 1000).toISOString().replace('T', ' ').slice(0, 19);
    return `${caseId},${at},${lossesAtS.some((begin) => s >= begin && s < begin + 60) ? '' : value + (i % 3)}`;
  }).join('\n');
}

function fileOf(name: string, rows: string): GivenFile {
  return textFile(name, `Case ID,Time,SpO2 finger (%)\n${rows}\n`);
}

const SHARED = fileOf('shared.csv', recordOf('S-1', [300, 900]));
const FIRST_HALF = fileOf('first-half.csv', recordOf('P-1', [600]));
const REMOVED = fileOf('removed.csv', recordOf('G-1', [500], 0, 95));
const TWIN = (caseId: string): GivenFile => fileOf(`${caseId}.csv`, recordOf(caseId, [400], 0, 94));

/** What the library that receives holds: one record twice, one together with a second half that the sender never had, none of `W-9`. */
export const RECEIVER_FILES: readonly GivenFile[] = [SHARED, TWIN('T-1'), TWIN('T-2'), FIRST_HALF, fileOf('second-half.csv', recordOf('P-1', [2400], 1800)), REMOVED];
const SENDER_FILES: readonly GivenFile[] = [SHARED, TWIN('T-9'), FIRST_HALF, REMOVED, fileOf('elsewhere.csv', recordOf('W-9', [700], 0, 93))];

export async function importFiles(page: Page, files: readonly GivenFile[]): Promise<void> {
  await new WindowPage(page).goTo('Import');
  const imports = new ImportPage(page);
  await imports.chooseFiles([...files]);
  await imports.waitForReport();
}

/** Gives a verdict on a dropout of a case, blinded. `nth` 0: the first. */
export async function say(page: Page, by: string, caseId: string, nth: number, verdict: Verdict): Promise<void> {
  await callHost(page, 'giveVerdict', { ...(await dropoutOf(page, caseId, nth)), by, blinded: true, judgement: { verdict, certainty: verdict === 'cannot tell' ? null : 'probable', note: '', correctedBounds: null } });
}

/** Records what two readers of a library agreed on. */
export async function agree(page: Page, by: string, caseId: string, nth: number, verdict: Verdict): Promise<void> {
  await callHost(page, 'giveConsensus', { ...(await dropoutOf(page, caseId, nth)), by, judgement: { verdict, certainty: 'probable', note: 'Looked at together.', correctedBounds: null } });
}

async function dropoutOf(page: Page, caseId: string, nth: number): Promise<{ readonly caseKey: string; readonly dropoutId: string }> {
  const found = (await callHost(page, 'listCases', null)).find((one) => one.caseId === caseId);
  if (found === undefined) throw new Error(`no case ${caseId}`);
  const { sites } = await callHost(page, 'analyze', { caseKey: found.caseKey, parameters: await callHost(page, 'getParameters', null) });
  const dropout = sites.flatMap(({ dropouts }) => dropouts)[nth];
  if (dropout === undefined) throw new Error(`${caseId} has no dropout ${nth}`);
  return { caseKey: found.caseKey, dropoutId: dropout.dropoutId };
}

async function over<T>(openPage: () => Promise<Page>, library: string, work: (page: Page) => Promise<T>): Promise<T> {
  const workstation = await startWorkstation({ library });
  const page = await openPage();
  try {
    await new WindowPage(page).open(workstation.address);
    return await work(page);
  } finally {
    await page.close();
    await workstation.stop();
  }
}

async function send(page: Page, path: string): Promise<string> {
  await writeFile(path, (await callHost(page, 'writeReviews', { jobId: randomUUID().replaceAll('-', ''), notes: 'included', by: 'Ada' })).text);
  return path;
}

/**
 * Returns two files that one sender signed: the second comes from a copy of its library in which an entry was changed by hand and the
 * trail sealed anew.
 */
export async function sentFiles(folder: string, openPage: () => Promise<Page>): Promise<{ readonly first: string; readonly ofCopy: string }> {
  const [library, copy] = [join(folder, 'sender'), join(folder, 'copy-of-sender')];
  const first = await over(openPage, library, async (page) => {
    await importFiles(page, SENDER_FILES);
    for (const caseId of ['S-1', 'T-9', 'P-1', 'G-1', 'W-9']) await say(page, 'Ada', caseId, 0, 'motion');
    await say(page, 'Ben', 'S-1', 0, 'no loss');
    await agree(page, 'Ben', 'S-1', 0, 'motion');
    const removed = (await callHost(page, 'listCases', null)).find(({ caseId }) => caseId === 'G-1');
    if (removed !== undefined) await callHost(page, 'removeCase', { caseKey: removed.caseKey });
    return await send(page, join(folder, 'reviews-first.json'));
  });
  await cp(library, copy, { recursive: true });
  await changeByHand(copy);
  const ofCopy = await over(openPage, copy, async (page) => {
    await say(page, 'Ada', 'S-1', 1, 'low perfusion');
    return await send(page, join(folder, 'reviews-of-copy.json'));
  });
  return { first, ofCopy };
}

/** Makes Ben's verdict another one, and every hash from there on one that fits. */
async function changeByHand(library: string): Promise<void> {
  const folder = join(library, 'reviews');
  const kept = await Promise.all(
    (await readdir(folder, { recursive: true })).filter((name) => name.endsWith('.json')).map(async (name) => {
      const path = join(folder, name);
      return { path, entry: (JSON.parse(await readFile(path, 'utf8')) as { readonly entry: TrailEntry }).entry }; // the program has just written it
    }),
  );
  let previous = '';
  for (const { path, entry } of kept.sort((a, b) => a.entry.place - b.entry.place)) {
    const isMeant = entry.kind === 'verdict' && entry.by === 'Ben' && entry.role === 'reading';
    const text = canonicalJson({ ...entry, previous, ...(isMeant ? { judgement: { ...entry.judgement, verdict: 'interference' } } : {}) });
    previous = createHash('sha256').update(text, 'utf8').digest('hex');
    await writeFile(path, `{"schema":"lacuna-trail/1","hash":"${previous}","entry":${text}}`);
  }
  await writeFile(join(library, 'trail-head.json'), JSON.stringify({ schema: 'lacuna-trail-head/1', head: { place: kept.length, hash: previous } }));
}
