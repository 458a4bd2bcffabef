import AxeBuilder from '@axe-core/playwright';
import { expect, test } from '@playwright/test';
import { execFileSync } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { startWorkstation } from './workstation.ts';

const PASSPHRASE = 'four words that match nothing';

test('an encrypted library asks for its passphrase, opens, and is locked again by hand, all by keyboard', async ({ page }) => {
  const folder = await mkdtemp(join(tmpdir(), 'lacuna-e2e-'));
  const library = join(folder, 'ward.lacuna');
  execFileSync(process.execPath, ['electron/launch/lacuna.mjs', 'library', 'create', library], { cwd: fileURLToPath(new URL('../../', import.meta.url)), env: { ...process.env, LACUNA_PASSPHRASE: PASSPHRASE } });
  const workstation = await startWorkstation({ library });
  try {
    await page.goto(workstation.address);
    await expect(page.getByRole('heading', { name: 'The library “ward” is locked' })).toBeVisible();
    expect((await new AxeBuilder({ page }).analyze()).violations).toEqual([]);
    const passphrase = page.getByLabel('Passphrase');
    await passphrase.focus();
    await page.keyboard.type('not this one, no');
    await page.keyboard.press('Enter');
    await expect(page.getByRole('alert')).toContainText('This is not the passphrase of the library.');
    await passphrase.fill(PASSPHRASE);
    await page.keyboard.press('Enter');
    await expect(page.getByText('in the encrypted library “ward”')).toBeVisible();
    await page.getByRole('button', { name: 'Lock', exact: true }).press('Enter');
    await expect(page.getByRole('heading', { name: 'The library “ward” is locked' })).toBeVisible();
    await expect(passphrase).toHaveValue('');
  } finally {
    await workstation.stop();
    await rm(folder, { recursive: true, force: true });
  }
});
