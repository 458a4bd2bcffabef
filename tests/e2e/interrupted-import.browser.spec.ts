import { mkdir, mkdtemp, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { expect, test as base } from '@playwright/test';
import { ImportPage } from './pages/import-page.ts';
import { WindowPage } from './pages/window-page.ts';
import { startWorkstation, type Workstation } from './workstation.ts';

/** A library in which a program was killed while it read one file. */
const test = base.extend<{ interrupted: { readonly library: string; readonly workstation: Workstation } }>({
  interrupted: async ({}, use) => {
    const folder = await mkdtemp(join(tmpdir(), 'lacuna-interrupted-'));
    const library = join(folder, 'tidewater-vale');
    const importFolder = join(library, 'incoming', 'ab'.repeat(16));
    await mkdir(importFolder, { recursive: true });
    const rows = Array.from({ length: 240 }, (_, i) => `2031-04-23 08:${String(Math.floor(i / 60)).padStart(2, '0')}:${String(i % 60).padStart(2, '0')},${i >= 100 && i < 160 ? '---' : '98'},${70 + (i % 5)}`);
    const text = ['Time,SpO2,HR', ...rows].join('\n');
    await writeFile(join(importFolder, '000001.input'), text);
    const run = {
      schema: 'lacuna-import-run/1', madeBy: 'the program that was killed', request: { overrules: [], zone: 'Europe/Oslo', mapping: null }, parameters: DEFAULT_PARAMETERS,
      files: [{ name: '000001.input', relativePath: 'room-4/trends.csv', byteLength: text.length }],
    };
    await writeFile(join(importFolder, 'run.json'), JSON.stringify(run));
    const workstation = await startWorkstation({ library });
    await use({ library, workstation });
    await workstation.stop();
    await rm(folder, { recursive: true, force: true });
  },
});
test.setTimeout(180_000);

test('an import that was interrupted is told of, and goes on to its report', async ({ interrupted, page }) => {
  const frame = new WindowPage(page);
  const imports = new ImportPage(page);
  await frame.open(interrupted.workstation.address);
  const notice = page.locator('.notice', { hasText: 'was interrupted' });
  await expect(notice).toContainText('An import of 1 file was interrupted before the first file was read.');
  await expect(notice).toContainText('room-4/trends.csv');
  expect(await frame.seriousFindings(), 'library with the notice').toEqual([]);
  await frame.goTo('Import');
  await expect(notice).toBeVisible();
  await page.getByRole('button', { name: 'Go on' }).focus();
  await page.keyboard.press('Enter');
  await imports.waitForReport();
  await expect(imports.headline).toHaveText('1 file read into 1 case.');
  await frame.goTo('Library');
  await expect(notice).toHaveCount(0);
  await expect(page.getByRole('button', { name: 'room-4', exact: true })).toBeVisible();
});

test('an import that was interrupted can be thrown away', async ({ interrupted, page }) => {
  const frame = new WindowPage(page);
  await frame.open(interrupted.workstation.address);
  await page.getByRole('button', { name: 'Discard…' }).click();
  await expect(page.getByRole('dialog')).toContainText('The library and your own files stay as they are.');
  expect(await frame.seriousFindings(), 'the question').toEqual([]);
  await page.getByRole('dialog').getByRole('button', { name: 'Discard' }).click();
  await expect(page.locator('.notice', { hasText: 'was interrupted' })).toHaveCount(0);
  await expect.poll(() => readdir(join(interrupted.library, 'incoming'))).toEqual([]);
});
