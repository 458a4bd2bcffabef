import AxeBuilder from '@axe-core/playwright';
import { expect, test, type Page } from '@playwright/test';
import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { startWorkstation } from './workstation.ts';

const PASSPHRASE = 'four words that match nothing';

async function press(page: Page, name: string | RegExp, key = 'Enter'): Promise<void> {
  await page.getByRole('button', { name, exact: typeof name === 'string' }).press(key);
}

/** A person types with the focus in a field, and sends with Enter. */
async function type(page: Page, label: string, text: string): Promise<void> {
  await page.getByLabel(label, { exact: true }).focus();
  await page.keyboard.type(text);
}

const noFindings = async (page: Page): Promise<void> => expect((await new AxeBuilder({ page }).analyze()).violations).toEqual([]);

test('the library of the first start is moved into an encrypted one, locked, unlocked, backed up and put back, all by keyboard', async ({ page }) => {
  test.setTimeout(240_000);
  const workstation = await startWorkstation();
  try {
    await page.goto(workstation.address);
    await expect(page.getByRole('grid', { name: 'Cases' }).getByRole('row')).toHaveCount(20, { timeout: 120_000 });
    await expect(page.getByText('Before real records come in: this library is a folder, not encrypted')).toBeVisible();
    await noFindings(page);

    await page.keyboard.press('x');
    await expect(page.getByRole('heading', { name: 'How the library is kept' })).toBeVisible();
    await noFindings(page);
    await press(page, 'Move it into an encrypted library…');
    const dialog = page.getByRole('dialog');
    await expect(dialog).toContainText('A forgotten passphrase cannot be helped by anyone');
    await type(page, 'New passphrase', 'short');
    await expect(dialog).toContainText('at least 12 characters are needed; these are 5.');
    await page.getByLabel('New passphrase', { exact: true }).fill('');
    await type(page, 'New passphrase', PASSPHRASE);
    await type(page, 'The same again', `${PASSPHRASE}!`);
    await expect(dialog).toContainText('it is not the same as above.');
    await expect(page.getByRole('button', { name: 'Move it and go on with it' })).toBeDisabled();
    await noFindings(page);
    await page.keyboard.press('Backspace');
    await page.keyboard.press('Enter');
    await expect(page.getByText('in the encrypted library “library”')).toBeVisible({ timeout: 60_000 });
    await expect(page.getByRole('grid', { name: 'Cases' }).getByRole('row')).toHaveCount(20, { timeout: 60_000 });

    await press(page, 'Lock');
    await expect(page.getByRole('heading', { name: 'The library “library” is locked' })).toBeVisible();
    await expect(page.getByRole('button', { name: 'library (folder, not encrypted)' })).toBeVisible();
    await noFindings(page);
    await type(page, 'Passphrase', PASSPHRASE);
    await page.keyboard.press('Enter');
    await expect(page.getByText('in the encrypted library “library”')).toBeVisible({ timeout: 60_000 });

    await page.keyboard.press('x');
    await page.getByLabel(/^Lock after so many minutes/).fill('25');
    await page.keyboard.press('Enter');
    await expect(page.getByText('It locks itself after 25 minutes now.')).toBeVisible();
    await expect(page.getByText('A browser window cannot reach the system’s key store')).toBeVisible();
    await press(page, 'Make a backup now');
    await expect(page.getByText('The backup is made, opened and read through: 19 cases.')).toBeVisible({ timeout: 60_000 });
    await noFindings(page);

    // A case goes, and comes back with the backup.
    await page.keyboard.press('l');
    await page.getByRole('button', { name: /^Remove .* from the library$/ }).first().press('Enter');
    await press(page, 'Remove it');
    await expect(page.getByRole('grid', { name: 'Cases' }).getByRole('row')).toHaveCount(19);
    await page.keyboard.press('x');
    await page.getByRole('button', { name: /^Restore the backup of/ }).first().press('Enter');
    await expect(page.getByRole('dialog')).toContainText('Nothing is thrown away');
    await noFindings(page);
    await press(page, 'Restore it');
    await expect(page.getByRole('grid', { name: 'Cases' }).getByRole('row')).toHaveCount(20, { timeout: 60_000 });
    expect((await readdir(join(workstation.dataFolder, 'lacuna'))).filter((name) => /^library\.lacuna\.before-.*Z$/.test(name))).toHaveLength(1);
    await page.keyboard.press('x');
    await expect(page.getByLabel(/^Lock after so many minutes/)).toHaveValue('25');
    await expect(page.getByText(/The library as it was is kept as “library\.lacuna\.before-.*Z”/)).toBeVisible();
    await noFindings(page);

    // Definitions go out as a file that holds no case.
    const [download] = await Promise.all([page.waitForEvent('download'), press(page, 'Save the definitions…')]);
    const text = await readFile(await download.path(), 'utf8');
    expect(text).toContain('lacuna-shared-definitions/1');
    expect(text).not.toMatch(/K0\d-|FINGER|trends\.csv/);
    await expect(page.getByText('Not in it:')).toBeVisible();
    await page.getByTestId('definitions-input').setInputFiles({ name: 'lacuna-definitions.json', mimeType: 'application/json', buffer: Buffer.from(text) });
    await expect(page.getByText('Nothing of this library was replaced.')).toBeVisible();

    // Another library, and back to the folder, which stayed.
    await press(page, 'Make a new library…');
    await type(page, 'Name', 'Theatre 2');
    await page.getByRole('radio', { name: 'One encrypted file' }).press('ArrowRight');
    await noFindings(page);
    await press(page, 'Make it and go on with it');
    await expect(page.getByText('in the folder “Theatre 2”')).toBeVisible({ timeout: 60_000 });
    await page.keyboard.press('x');
    await press(page, 'Open library, folder, not encrypted');
    await expect(page.getByText('in the folder “library”')).toBeVisible({ timeout: 60_000 });
  } finally {
    await workstation.stop();
  }
});

test('the next start opens the library that was used last; two programs cannot have it open', async ({ page }) => {
  test.setTimeout(180_000);
  const first = await startWorkstation();
  try {
    await page.goto(first.address);
    await press(page, /^in the folder/);
    await press(page, 'Make a new library…');
    await type(page, 'Name', 'Ward');
    await type(page, 'New passphrase', PASSPHRASE);
    await type(page, 'The same again', PASSPHRASE);
    await page.keyboard.press('Enter');
    await expect(page.getByText('in the encrypted library “Ward”')).toBeVisible({ timeout: 60_000 });
    await expect(page.getByRole('heading', { name: 'No case is here yet' })).toBeVisible();
    const again = await startSecond(first.dataFolder);
    await page.goto(again.refused === null ? again.address : first.address);
    expect(again.refused).toBeNull(); // it begins locked: the second program holds nothing until somebody unlocks it
    await expect(page.getByRole('heading', { name: 'The library “Ward” is locked' })).toBeVisible();
    await type(page, 'Passphrase', PASSPHRASE);
    await page.keyboard.press('Enter');
    await expect(page.getByRole('alert')).toContainText('The library "Ward.lacuna" is already open'); // in the first program
    await again.stop();
  } finally {
    await first.stop();
  }
});

async function startSecond(dataFolder: string): Promise<{ readonly address: string; readonly refused: string | null; stop(): Promise<unknown> }> {
  try {
    return { ...(await startWorkstation({ dataFolder })), refused: null };
  } catch (error) {
    return { address: '', refused: String(error), stop: async () => undefined };
  }
}
