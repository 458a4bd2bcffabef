import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test, type Browser, type Page } from '@playwright/test';
import { CasePage } from './pages/case-page.ts';
import { ImportPage, textFile } from './pages/import-page.ts';
import { LibraryPage } from './pages/library-page.ts';
import { ReviewPage } from './pages/review-page.ts';
import { WindowPage } from './pages/window-page.ts';
import { startWorkstation, type Workstation } from './workstation.ts';

/** Two losses of 50 s in half an hour, one value a second; every library holds the same record under its own name. */
const ROWS = Array.from({ length: 1800 }, (_, s) => {
  const isLost = (s >= 300 && s < 350) || (s >= 900 && s < 950);
  return `2031-06-02 08:${String(Math.floor(s / 60)).padStart(2, '0')}:${String(s % 60).padStart(2, '0')},${isLost ? '' : 97 + (s % 3)},${70 + (s % 5)}`;
});
const RECORD = `Time,SpO2 finger (%),HR (/min)\n${ROWS.join('\n')}\n`;

interface Machine {
  readonly station: Workstation;
  readonly page: Page;
  readonly frame: WindowPage;
  readonly review: ReviewPage;
  show(part: string): Promise<void>;
}

/** A machine of its own, on which a reader gives both dropouts a verdict, blinded. */
async function machine(browser: Browser, folder: string, name: string, reader: string, keys: readonly string[]): Promise<Machine> {
  const station = await startWorkstation({ library: join(folder, name) });
  const page = await (await browser.newContext({ viewport: { width: 1280, height: 800 }, acceptDownloads: true })).newPage();
  page.setDefaultTimeout(8_000);
  const [frame, imports, library, openCase, review] = [new WindowPage(page), new ImportPage(page), new LibraryPage(page), new CasePage(page), new ReviewPage(page)];
  await frame.open(station.address);
  await frame.goTo('Import');
  await imports.chooseFiles([textFile(`${name}.csv`, RECORD)]);
  await imports.waitForReport();
  await review.readAs(reader);
  await page.keyboard.press('l');
  await page.keyboard.press('Tab');
  await library.row(name).focus();
  await page.keyboard.press('Enter');
  await openCase.waitFor(name);
  await page.keyboard.press('j');
  for (const key of keys) {
    await page.keyboard.press('n');
    await expect(review.savedState).toHaveText('no verdict of yours yet');
    await page.keyboard.press(key);
    await page.keyboard.press('g');
    await page.keyboard.press('w');
    await expect(review.savedState).toHaveText(/: saved /);
  }
  return {
    station, page, frame, review,
    async show(part) {
      await page.keyboard.press('r');
      const link = page.getByRole('navigation', { name: 'Parts of the review' }).getByRole('button', { name: part, exact: true });
      await link.click();
      await expect(link).toHaveAttribute('aria-current', 'page');
    },
  };
}

async function send({ page, show }: Machine, path: string): Promise<string> {
  await show('Exchange');
  await page.getByRole('button', { name: 'See what a file would hold…' }).click();
  await expect(page.getByText('The file will hold')).toBeVisible();
  const download = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Write the file' }).click();
  await (await download).saveAs(path);
  return await page.getByRole('region', { name: 'Send', exact: true }).locator('code.fingerprint').innerText();
}

async function receive({ page, show, frame }: Machine, path: string, fingerprint: string): Promise<void> {
  await show('Exchange');
  await page.getByTestId('reviews-input').setInputFiles(path);
  const side = page.getByRole('region', { name: 'Receive', exact: true });
  await expect(side).toContainText('This sender is new here');
  expect((await side.locator('code.fingerprint').innerText()).replace(/\s/g, '')).toBe(fingerprint.replace(/\s/g, ''));
  await expect(side.getByRole('button', { name: 'Receive these reviews' })).toBeDisabled();
  expect(await frame.seriousFindings(), 'exchange').toEqual([]);
  await side.getByLabel('I have compared all of it, and it is the same').check();
  await side.getByLabel('What is the sender to be called here?').fill('the other machine');
  await side.getByRole('button', { name: 'Receive these reviews' }).click();
  await expect(side).toContainText('Received from the other machine.');
}

test('two readers on two machines, each blinded: agreement, disagreement, what was agreed, and back', async ({ browser }) => {
  test.setTimeout(120_000);
  const folder = await mkdtemp(join(tmpdir(), 'lacuna-e2e-'));
  const machines: Machine[] = [];
  try {
    machines.push(await machine(browser, folder, 'east', 'Ada', ['5', '5']), await machine(browser, folder, 'west', 'Ben', ['5', 'z']));
    const [east, west] = machines as [Machine, Machine]; // two were pushed
    await receive(west, join(folder, 'east.json'), await send(east, join(folder, 'east.json')));

    // Blinded, nothing of the other's is told before the case is read or revealed, in tables neither.
    await west.show('Agreement');
    await expect(west.page.getByText(/1 case is not looked at here: Ben reads blinded/)).toBeVisible();
    await west.show('Disagreements');
    await expect(west.page.getByText(/1 case is not looked at here: Ben reads blinded/)).toBeVisible();
    await west.show('Queue');
    await west.page.getByLabel(/^Blinded:/).uncheck();
    await west.show('Agreement');
    await expect(west.page.getByLabel('Readers', { exact: true })).toContainText('Ada (received from the other machine) and Ben: 2 dropouts in common');
    await expect(west.page.getByText('2 dropouts of 1 case read by both, blinded.')).toBeVisible();
    await expect(west.page.getByRole('region', { name: 'All verdicts of the form' }).getByRole('row', { name: /^percent agreement/ })).toContainText('50.0 %');
    expect(await west.frame.seriousFindings(), 'agreement').toEqual([]);

    await west.show('Disagreements');
    const row = west.page.getByRole('row', { name: /disputed/ });
    await expect(row).toContainText('no loss, probable');
    expect(await west.frame.seriousFindings(), 'disagreements').toEqual([]);
    await row.getByRole('button', { name: 'Record what was agreed…' }).click();
    const dialog = west.page.getByRole('dialog');
    await expect(dialog.getByRole('button', { name: 'Record' })).toBeDisabled();
    await dialog.getByLabel('Verdict').selectOption('low perfusion');
    await dialog.getByRole('radio', { name: 'probable' }).check();
    await dialog.getByRole('button', { name: 'Record' }).click();
    await expect(west.page.getByText('Open: 0')).toBeVisible();

    await receive(east, join(folder, 'west.json'), await send(west, join(folder, 'west.json')));
    await east.show('Queue');
    await east.page.getByLabel(/^Blinded:/).uncheck();
    await east.show('Disagreements');
    await east.page.getByRole('radio', { name: 'All, with 1 settled' }).check();
    await expect(east.page.getByRole('row', { name: /= settled/ })).toContainText('low perfusion, probable');
  } finally {
    for (const { station, page } of machines) {
      await page.context().close();
      await station.stop();
    }
    await rm(folder, { recursive: true, force: true });
  }
});
