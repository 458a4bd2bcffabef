import { open, readFile, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Page } from '@playwright/test';
import { SIZES, walk, type Choice, type Screens } from './look.ts';
import { agree, importFiles, RECEIVER_FILES, say, sentFiles } from './parted-libraries.ts';

const AREA = 'review';
const PARTS = 'Parts of the review';
const PASSPHRASE = 'four words that match nothing';
/** For what differs from another state in few words. */
const SMALL: Choice = { sizes: [SIZES[0]], whole: false, enlarged: false };
/** Lists of thousands are of one height in any look. */
const LIGHT: Choice = { looks: ['light'], enlarged: false };
const IMPORTED_MS = 90_000;
const WORKED_MS = 60_000;
/** A folder with a library of thousands of cases, for the last walk; a copy, since what a queue reads is kept in it. */
const HUGE = process.env['LACUNA_HUGE_LIBRARY'];

async function readAs({ page }: Screens, name: string): Promise<void> {
  await page.getByLabel('Who reads?').fill(name);
  await page.keyboard.press('Enter');
  await page.getByText('Reading as').waitFor();
}

async function showPart(screens: Screens, name: string): Promise<void> {
  await screens.goTo('Review');
  await screens.goToPart(PARTS, name);
  await screens.page.locator('main .waiting').first().waitFor({ state: 'detached', timeout: WORKED_MS });
}

const button = (page: Page, name: string | RegExp) => page.getByRole('button', { name, exact: typeof name === 'string' });

walk(AREA, 'queue, whole case, agreement, disagreements, trail and exchange', { library: 'seeded' }, async (screens) => {
  const { page } = screens;
  await page.getByText(/116 cases/).first().waitFor({ timeout: IMPORTED_MS });

  await screens.part('queue', async () => {
    await screens.goTo('Review');
    await screens.see('queue-nobody-reads');
    await screens.goToPart(PARTS, 'Disagreements');
    await screens.see('disagreements-nobody-reads', SMALL);
    await screens.goToPart(PARTS, 'Queue');
    await readAs(screens, 'Ada');
    await screens.see('queue-before');
    const goOn = await screens.hold('reviewQueue');
    await button(page, 'Draw the queue').click();
    await button(page, 'Stop').waitFor();
    await screens.see('queue-working', SMALL);
    await button(page, 'Stop').click();
    await screens.see('queue-stopped', SMALL);
    await goOn();
    await button(page, 'Draw the queue').click();
    await page.getByRole('grid', { name: 'Queue of dropouts' }).waitFor();
    await screens.see('queue');
    await page.getByText('only those not read').click();
    await screens.see('queue-not-read', SMALL);
    const refused = await screens.fail('reviewQueue');
    await button(page, 'Draw the queue').click();
    await page.getByText('The queue could not be drawn.').waitFor();
    await screens.see('queue-failed', { sizes: [SIZES[0], SIZES[1]] });
    await refused();
    await page.getByRole('radio', { name: 'Random sample' }).check({ force: true });
    await page.getByLabel('Dropouts in the sample').fill('0');
    await screens.see('queue-sample-fault', SMALL);
    await page.getByLabel('Dropouts in the sample').fill('7');
    await button(page, 'Draw the queue').click();
    await page.getByText('of 7 read').waitFor();
    await screens.see('queue-sample');
    await button(page, 'Change…').click();
    await screens.see('queue-another-reader', SMALL);
    await button(page, 'Stay Ada').click();
  });

  await screens.part('queue of chosen cases', async () => {
    await screens.goTo('Library');
    await page.getByRole('checkbox', { name: /^Choose K0[12]/ }).first().check({ force: true });
    await screens.goTo('Review');
    await screens.see('queue-of-chosen', SMALL);
  });

  await screens.part('whole case', async () => {
    await screens.goTo('Library');
    await page.getByLabel('Name or file holds').fill('K11');
    await button(page, 'K11-bypass').click();
    await page.locator('.tl-root[data-drawn="true"]').first().waitFor();
    await page.keyboard.press('j');
    await button(page, 'Whole case…').click();
    await screens.see('whole-case');
    const dialog = page.getByRole('dialog');
    await dialog.getByText('clock doubtful').click();
    const refused = await screens.fail('flagCase');
    await dialog.getByRole('button', { name: 'Save the flags' }).click();
    await dialog.getByRole('alert').waitFor();
    await screens.see('whole-case-failed', SMALL);
    await refused();
    await dialog.getByRole('button', { name: 'Save the flags' }).click();
    await dialog.getByText(/^Saved/).waitFor();
    await screens.see('whole-case-flagged', SMALL);
    await page.keyboard.press('Escape');
  });

  await screens.part('agreement', async () => {
    await showPart(screens, 'Queue');
    await page.getByLabel(/^Blinded:/).uncheck();
    await screens.see('queue-not-blinded', SMALL);
    const goOn = await screens.hold('reviewAgreement');
    await screens.goToPart(PARTS, 'Agreement');
    await button(page, 'Cancel').waitFor();
    await screens.see('agreement-working', SMALL);
    await button(page, 'Cancel').click();
    await page.getByText(/it was cancelled/).waitFor();
    await screens.see('agreement-cancelled', SMALL);
    await goOn();
    await button(page, 'Work it out').click();
    await page.getByRole('region', { name: 'All verdicts of the form' }).waitFor({ timeout: WORKED_MS });
    await screens.see('agreement');
    const refused = await screens.fail('reviewAgreement');
    await page.getByLabel('Seed of the draws').fill('7');
    await button(page, 'Draw anew').click();
    await page.getByText('The agreement could not be worked out.').waitFor();
    await screens.see('agreement-failed', SMALL);
    await refused();
  });

  await screens.part('disagreements', async () => {
    await showPart(screens, 'Disagreements');
    await button(page, 'Record what was agreed…').first().waitFor({ timeout: WORKED_MS });
    await screens.see('disagreements');
    await button(page, 'Record what was agreed…').first().click();
    await screens.see('consensus');
    const dialog = page.getByRole('dialog');
    await dialog.getByLabel('Verdict').selectOption('low perfusion');
    await dialog.getByRole('radio', { name: 'probable' }).check({ force: true });
    const refused = await screens.fail('giveConsensus');
    await dialog.getByRole('button', { name: 'Record' }).click();
    await dialog.getByText('It was not recorded.').waitFor();
    await screens.see('consensus-failed', SMALL);
    await refused();
    await dialog.getByRole('button', { name: 'Record' }).click();
    await dialog.waitFor({ state: 'detached' });
    await page.getByRole('radio', { name: /^All, with 1 settled/ }).check({ force: true });
    await screens.see('disagreements-with-settled', SMALL);
    const listed = await screens.fail('listDisagreements');
    await screens.goToPart(PARTS, 'Trail');
    await screens.goToPart(PARTS, 'Disagreements');
    await page.getByText('The disagreements could not be listed.').waitFor();
    await screens.see('disagreements-failed', SMALL);
    await listed();
  });

  await screens.part('trail', async () => {
    await showPart(screens, 'Trail');
    await page.getByRole('group', { name: 'Entries of the trail' }).waitFor();
    await screens.see('trail');
    await button(page, 'Check the whole trail').click();
    await page.getByText(/follow one another/).waitFor();
    await screens.see('trail-checked', { sizes: [SIZES[0], SIZES[1]] });
    await page.getByLabel(/^A head noted earlier/).fill('not a head');
    await screens.see('trail-head-fault', SMALL);
    await page.getByLabel(/^A head noted earlier/).fill('ab'.repeat(32));
    await button(page, 'Check the whole trail').click();
    await page.getByText(/was found|were found/).waitFor();
    await screens.see('trail-head-missing', SMALL);
    const refused = await screens.fail('checkTrail', { code: 'library-unreadable', message: 'The folder of the library could not be read.', remedy: 'Look whether the disk is connected, then try again.' });
    await button(page, 'Check the whole trail').click();
    await page.getByText('The trail could not be checked.').waitFor();
    await screens.see('trail-check-failed', SMALL);
    await refused();
    await screens.goTo('Review');
    await screens.goToPart(PARTS, 'Queue');
    await page.getByLabel(/^Blinded:/).check();
    await button(page, 'Change…').click();
    await readAs(screens, 'Dora');
    await showPart(screens, 'Trail');
    await page.getByText('kept back while you read blinded').first().waitFor();
    await screens.see('trail-blinded', SMALL);
    await screens.goToPart(PARTS, 'Agreement');
    await page.getByText(/not looked at here/).waitFor({ timeout: WORKED_MS });
    await screens.see('agreement-blinded', SMALL);
    await screens.goToPart(PARTS, 'Disagreements');
    await page.getByText(/not looked at here/).waitFor({ timeout: WORKED_MS });
    await screens.see('disagreements-blinded', SMALL);
  });

  await screens.part('exchange', async () => {
    await showPart(screens, 'Exchange');
    await screens.see('exchange');
    await button(page, 'See what a file would hold…').click();
    await page.getByText('The file will hold').waitFor();
    await screens.see('exchange-looked', { sizes: [SIZES[0], SIZES[1]] });
    const refused = await screens.fail('writeReviews');
    await button(page, 'Write the file').click();
    await page.getByText('No file was written.').waitFor();
    await screens.see('exchange-write-failed', SMALL);
    await refused();
    await button(page, 'Try again').click();
    const [download] = await Promise.all([page.waitForEvent('download'), button(page, 'Write the file').click()]);
    await page.getByText(/ is written\./).waitFor();
    await screens.see('exchange-written', { sizes: [SIZES[0], SIZES[1]] });
    const own = { name: download.suggestedFilename(), mimeType: 'application/json', buffer: await readFile(await download.path()) };
    await page.getByTestId('reviews-input').setInputFiles(own);
    await page.getByText('This library wrote this file itself.').waitFor();
    await screens.see('exchange-own-file', SMALL);
    await page.getByTestId('reviews-input').setInputFiles({ name: 'a-broken-file-of-reviews-with-a-long-name-from-the-other-hospital.json', mimeType: 'application/json', buffer: Buffer.from('{"x":1}') });
    await page.getByText(/^Nothing was taken from/).waitFor();
    await screens.see('exchange-broken-file', SMALL);
    const altered = own.buffer.toString('utf8').replace('"motion"', '"low perfusion"');
    await page.getByTestId('reviews-input').setInputFiles({ ...own, buffer: Buffer.from(altered) });
    await page.getByText(/^Nothing was taken from/).waitFor();
    await screens.see('exchange-altered-file', SMALL);
    const listed = await screens.fail('reviewExchange');
    await screens.goToPart(PARTS, 'Trail');
    await screens.goToPart(PARTS, 'Exchange');
    await page.getByText('What was received could not be read.').waitFor();
    await screens.see('exchange-failed', SMALL);
    await listed();
  });

  await screens.part('a trail that was altered', async () => {
    const { entries } = await screens.call('listTrail', { before: null, limit: 100, by: null, blinded: false });
    const ofCase = entries.map(({ entry }) => entry).find((entry) => 'caseKey' in entry && entry.caseKey !== null);
    if (ofCase === undefined || !('caseKey' in ofCase)) throw new Error('no entry about a case');
    const path = join(screens.dataFolder, 'lacuna', 'library', 'reviews', String(ofCase.caseKey), '0002.json');
    await writeFile(path, (await readFile(path, 'utf8')).replace(/"certainty":"[a-z]+"/, '"certainty":"certain"').replace(/"note":"[^"]*"/, '"note":"another note"'));
    await showPart(screens, 'Trail');
    await page.getByLabel(/^A head noted earlier/).fill('');
    await button(page, 'Check the whole trail').click();
    await page.getByText(/problems? (was|were) found/).waitFor();
    await screens.see('trail-altered', { sizes: [SIZES[0], SIZES[1]] });
  });
});

walk(AREA, 'conflicts of libraries that parted', { library: 'empty' }, async (screens) => {
  const { page } = screens;
  const browser = page.context().browser();
  if (browser === null) throw new Error('this walk opens further windows');
  const sent = await sentFiles(screens.dataFolder, () => browser.newPage({ locale: 'en-GB', timezoneId: 'UTC' }));
  await importFiles(page, RECEIVER_FILES);
  await say(page, 'Ada', 'S-1', 0, 'low perfusion');
  await say(page, 'Carla', 'S-1', 0, 'no loss');
  await agree(page, 'Carla', 'S-1', 0, 'low perfusion');

  const side = page.getByRole('region', { name: 'Receive', exact: true });
  const conflicts = page.getByRole('region', { name: 'Conflicts' });
  const receive = async (path: string): Promise<void> => {
    await side.getByTestId('reviews-input').setInputFiles(path);
    await side.getByText(/^The signature holds/).waitFor();
  };

  await screens.part('a new sender', async () => {
    await showPart(screens, 'Exchange');
    await receive(sent.first);
    await screens.see('exchange-new-sender-nobody-reads', SMALL);
    await readAs(screens, 'Carla');
    await screens.see('exchange-new-sender');
    await side.getByLabel('I have compared all of it, and it is the same').check();
    await side.getByLabel('What is the sender to be called here?').fill('the other hospital');
    const refused = await screens.fail('receiveReviews');
    await side.getByRole('button', { name: 'Receive these reviews' }).click();
    await side.getByText('Nothing was taken.').waitFor();
    await screens.see('exchange-receive-failed', SMALL);
    await refused();
    await side.getByRole('button', { name: 'Receive these reviews' }).click();
    await side.getByText(/^Received from/).waitFor();
    await screens.see('exchange-received');
  });

  await screens.part('a copy of the sender', async () => {
    await receive(sent.ofCopy);
    await screens.see('exchange-known-sender', SMALL);
    await side.getByRole('button', { name: 'Receive these reviews' }).click();
    await conflicts.getByRole('heading', { name: /tell different stories$/ }).waitFor();
    await screens.see('conflicts');
  });

  await screens.part('two agreements', async () => {
    await showPart(screens, 'Queue');
    await page.getByLabel(/^Blinded:/).uncheck();
    await showPart(screens, 'Disagreements');
    await page.getByText('two libraries agreed differently').waitFor({ timeout: WORKED_MS });
    await screens.see('two-agreements');
  });

  await screens.part('settled', async () => {
    await showPart(screens, 'Exchange');
    const settle = async (title: RegExp, choice: RegExp): Promise<void> => {
      const one = conflicts.getByRole('listitem').filter({ has: page.getByRole('heading', { name: title }) });
      await one.getByRole('radio', { name: choice }).first().check();
      await one.getByRole('button', { name: /^Settle it/, disabled: false }).click();
      await one.getByText(/^Settled by Carla/).first().waitFor();
    };
    const refused = await screens.fail('settleReviewConflict');
    const samePerson = conflicts.getByRole('listitem').filter({ has: page.getByRole('heading', { name: /one person\?/ }) });
    await samePerson.getByRole('radio', { name: /^One person/ }).check();
    await samePerson.getByRole('button', { name: 'Settle it' }).click();
    await conflicts.getByText('It was not settled.').waitFor();
    await screens.see('conflicts-not-settled', SMALL);
    await refused();
    await settle(/one person\?/, /^One person/);
    await settle(/^Which case is “T-9”/, /^It is T-2/);
    await settle(/^Which case is “P-1”/, /^None of these/);
    await settle(/^Which case is “G-1”/, /^It is G-1/);
    await settle(/^Which is right\?/, /^interference/);
    await settle(/^Which is right\?/, /^The one with the hash/);
    await conflicts.getByRole('button', { name: 'I have seen it' }).click();
    await conflicts.getByRole('heading', { name: 'Conflicts: all settled' }).waitFor();
    await screens.see('conflicts-settled');
    await showPart(screens, 'Trail');
    await page.getByText(/conflict settled/).first().waitFor();
    await screens.see('trail-of-conflicts', SMALL);
  });
});

walk(AREA, 'an empty library at every place, help, keys, about', { library: 'empty' }, async (screens) => {
  const { page } = screens;
  await page.getByRole('heading', { name: 'No case is here yet' }).waitFor({ timeout: IMPORTED_MS });
  const parts = {
    Library: [], Case: [], Sites: [], Cohort: ['Questions', 'Quality charts', 'Next study'], Review: ['Queue', 'Agreement', 'Disagreements', 'Exchange', 'Trail'], Meeting: ['Stories', 'Actions', 'Reports'], Import: [], Definitions: [],
  };
  for (const [place, names] of Object.entries(parts)) {
    await screens.part(`empty ${place}`, async () => {
      await screens.goTo(place);
      if (names.length === 0) await screens.see(`empty-${place.toLowerCase()}`, { ...SMALL, sizes: [SIZES[0], SIZES[1]], looks: ['light'] });
      for (const name of names) {
        await screens.goToPart(`Parts of the ${place.toLowerCase()}`, name);
        await page.locator('main .waiting').first().waitFor({ state: 'detached', timeout: WORKED_MS });
        await screens.see(`empty-${place.toLowerCase()}-${name.toLowerCase().replaceAll(' ', '-')}`, { ...SMALL, sizes: [SIZES[0], SIZES[1]], looks: ['light'] });
      }
    });
  }
});

walk(AREA, 'about, help, keys, a part that cannot be drawn', { library: 'samples' }, async (screens) => {
  const { page } = screens;
  await page.getByText(/19 cases/).first().waitFor({ timeout: IMPORTED_MS });

  await screens.part('about', async () => {
    await screens.goTo('About');
    await screens.see('about');
  });

  await screens.part('help', async () => {
    await screens.goTo('Review');
    await readAs(screens, 'Ada');
    await button(page, 'Draw the queue').click();
    await page.getByRole('grid', { name: 'Queue of dropouts' }).waitFor();
    const help = page.getByRole('dialog', { name: 'How it is worked out' });
    await button(page, 'Help').click();
    await help.getByRole('heading', { name: 'Contents' }).waitFor();
    await screens.see('help-contents');
    await help.getByRole('button', { name: 'First steps' }).click();
    await screens.see('help-first-steps');
    await help.getByRole('button', { name: 'Contents' }).click();
    await help.getByRole('button', { name: 'Agreement of reviewers' }).click();
    await screens.see('help-page');
    await help.getByRole('searchbox').fill('blind certain');
    await screens.see('help-search', { sizes: [SIZES[0], SIZES[1]] });
    await help.getByRole('searchbox').fill('zzzzqq');
    await screens.see('help-nothing-found', SMALL);
    await help.getByRole('button', { name: 'Close' }).click();
    await page.getByRole('columnheader', { name: /^Time lost/ }).getByRole('button').click({ force: true });
    await help.getByRole('heading', { level: 3 }).first().waitFor();
    await screens.see('help-beside-a-number');
    await help.getByRole('button', { name: 'Close' }).click();
  });

  await screens.part('keys', async () => {
    await page.keyboard.press('?');
    await screens.see('keys');
    await page.keyboard.press('Escape');
  });

  await screens.part('a part that cannot be drawn', async () => {
    await page.evaluate(() => {
      Array.prototype.flatMap = () => {
        throw new RangeError('a fault that this walk has put in');
      };
    });
    await screens.goTo('Library');
    await page.getByText('could not be drawn.').waitFor();
    await screens.see('part-not-drawn', SMALL);
  });
});

walk(AREA, 'keeping, moving, backups, locked and damaged', { library: 'seeded' }, async (screens) => {
  const { page } = screens;
  await page.getByText(/116 cases/).first().waitFor({ timeout: IMPORTED_MS });
  const dialog = page.getByRole('dialog');
  const showKeeping = async (): Promise<void> => {
    await page.keyboard.press('x');
    await page.getByRole('heading', { name: /^This library/ }).waitFor();
  };
  const fillPassphrase = async (): Promise<void> => {
    await page.getByLabel('New passphrase', { exact: true }).fill(PASSPHRASE);
    await page.getByLabel('The same again', { exact: true }).fill(PASSPHRASE);
  };

  await screens.part('a folder', async () => {
    await showKeeping();
    await screens.see('keeping-folder');
    await button(page, 'Make a new library…').click();
    await screens.see('keeping-new', { sizes: [SIZES[0], SIZES[1]] });
    await dialog.getByRole('radio', { name: 'A folder, not encrypted' }).check({ force: true });
    await dialog.getByLabel('Name').fill('../ward');
    await dialog.getByRole('button', { name: 'Make it and go on with it' }).click();
    await dialog.getByRole('alert').waitFor();
    await screens.see('keeping-new-refused', SMALL);
    await page.keyboard.press('Escape');
    const refused = await screens.fail('describeLibrary');
    await screens.goTo('About');
    await page.keyboard.press('x');
    await page.getByText('It could not be asked how the library is kept.').waitFor();
    await screens.see('keeping-failed', SMALL);
    await refused();
    await button(page, 'Try again').click();
  });

  await screens.part('definitions without patients', async () => {
    const [download] = await Promise.all([page.waitForEvent('download'), button(page, 'Save the definitions…').click()]);
    await page.getByText('Not in it:').waitFor();
    await screens.see('keeping-shared', { sizes: [SIZES[0], SIZES[1]] });
    const take = async (name: string, text: Buffer): Promise<void> => page.getByTestId('definitions-input').setInputFiles({ name, mimeType: 'application/json', buffer: text });
    await take('lacuna-definitions.json', await readFile(await download.path()));
    await page.getByText('Nothing of this library was replaced.').waitFor();
    await screens.see('keeping-taken', SMALL);
    await take('something-else.json', Buffer.from('{}'));
    await page.getByText(/did not succeed/).waitFor();
    await screens.see('keeping-taken-failed', SMALL);
  });

  await screens.part('moving', async () => {
    await button(page, 'Move it into an encrypted library…').click();
    await page.getByLabel('New passphrase', { exact: true }).fill('short');
    await screens.see('keeping-move');
    await fillPassphrase();
    const refused = await screens.fail('moveLibrary');
    await dialog.getByRole('button', { name: 'Move it and go on with it' }).click();
    await dialog.getByRole('alert').waitFor();
    await screens.see('keeping-move-failed', SMALL);
    await refused();
    const goOn = await screens.hold('moveLibrary');
    await dialog.getByRole('button', { name: 'Move it and go on with it' }).click();
    await screens.see('keeping-moving', SMALL);
    await goOn();
    await page.getByText('encrypted library “library”').waitFor({ timeout: WORKED_MS });
    await page.getByText(/116 cases/).first().waitFor({ timeout: IMPORTED_MS });
  });

  await screens.part('an encrypted file', async () => {
    await showKeeping();
    await screens.see('keeping-encrypted');
    await button(page, 'Make a backup now').click();
    await page.getByText(/^The backup is made/).waitFor({ timeout: WORKED_MS });
    await screens.see('keeping-backed-up', SMALL);
    const refused = await screens.fail('backUpNow');
    await button(page, 'Make a backup now').click();
    await page.getByText('No backup was made.').waitFor();
    await screens.see('keeping-backup-failed', SMALL);
    await refused();
    await page.getByLabel(/^Lock after so many minutes/).fill('-3');
    await screens.see('keeping-minutes-fault', SMALL);
    await page.getByLabel(/^Lock after so many minutes/).fill('25');
    await button(page, 'Set').click();
    await page.getByText('It locks itself after 25 minutes now.').waitFor();
    await screens.see('keeping-minutes-set', SMALL);
    await button(page, /^Change the passphrase/).click();
    await screens.see('keeping-passphrase', { sizes: [SIZES[0], SIZES[1]] });
    await page.getByLabel('Passphrase of today', { exact: true }).fill('not this one at all');
    await fillPassphrase();
    await dialog.getByRole('button', { name: 'Change it' }).click();
    await dialog.getByRole('alert').waitFor({ timeout: WORKED_MS });
    await screens.see('keeping-passphrase-wrong', SMALL);
    await page.keyboard.press('Escape');
    await button(page, /^Restore the backup of/).first().click();
    await screens.see('keeping-restore', { sizes: [SIZES[0], SIZES[1]] });
    await dialog.getByRole('button', { name: 'Restore it' }).click();
    await page.getByRole('grid', { name: 'Cases' }).waitFor({ timeout: IMPORTED_MS });
    await showKeeping();
    await page.getByText(/The library as it was is kept as/).waitFor();
    await screens.see('keeping-restored', { sizes: [SIZES[0], SIZES[1]] });
  });

  await screens.part('locked', async () => {
    await button(page, 'Lock').click();
    await page.getByRole('heading', { name: /is locked/ }).waitFor();
    await screens.see('locked');
    await page.getByLabel('Passphrase').fill('not this one at all');
    await page.keyboard.press('Enter');
    await page.getByRole('alert').waitFor({ timeout: WORKED_MS });
    await screens.see('locked-wrong');
    await damage(join(screens.dataFolder, 'lacuna', 'library.lacuna'));
    await page.getByLabel('Passphrase').fill(PASSPHRASE);
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: 'Its backups' }).waitFor({ timeout: WORKED_MS });
    await screens.see('damaged');
    await button(page, /^Restore the backup of/).first().click();
    await screens.see('damaged-restore', SMALL);
    await dialog.getByRole('button', { name: 'Restore it' }).click();
    await page.getByText(/116 cases/).first().waitFor({ timeout: IMPORTED_MS });
    await screens.see('restored-after-damage', SMALL);
  });
});

/** Overwrites a stretch in the middle of a file, as a failing disk does. */
async function damage(path: string): Promise<void> {
  const { size } = await stat(path);
  const file = await open(path, 'r+');
  try {
    await file.write(Buffer.alloc(20_000, 0x5a), 0, 20_000, 4096);
    await file.write(Buffer.alloc(20_000, 0x5a), 0, 20_000, Math.floor(size / 2));
  } finally {
    await file.close();
  }
}

if (HUGE !== undefined) {
  walk(AREA, 'a library of thousands', { library: { folder: HUGE } }, async (screens) => {
    const { page } = screens;
    await page.getByText(/[0-9],[0-9]{3} cases/).first().waitFor({ timeout: IMPORTED_MS });
    await screens.part('queue', async () => {
      await screens.goTo('Review');
      await readAs(screens, 'Ada');
      await button(page, 'Draw the queue').click();
      await page.waitForTimeout(1500);
      await screens.see('huge-queue-working', SMALL);
      await page.getByRole('grid', { name: 'Queue of dropouts' }).waitFor({ timeout: 5 * WORKED_MS });
      await screens.see('huge-queue', LIGHT);
    });
    for (const name of ['Agreement', 'Disagreements', 'Exchange', 'Trail']) {
      await screens.part(name, async () => {
        await showPart(screens, name);
        await screens.see(`huge-${name.toLowerCase()}`, { ...LIGHT, whole: false });
      });
    }
  });
}
