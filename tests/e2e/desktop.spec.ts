import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { _electron, expect, test } from '@playwright/test';
import { findElectron, hasDisplay } from '../../electron/launch/find-electron.mjs';

const electron = findElectron();
const isRoot = process.platform === 'linux' && process.getuid?.() === 0;

test.describe('the desktop program', () => {
  test.skip(electron === null, 'Electron’s runtime is not installed here: the desktop program cannot be started');
  test.skip(!hasDisplay(), 'there is no display for the desktop program');
  test.skip(isRoot, 'Electron’s sandbox does not work for root');

  test('opens the sample library in a sandboxed page that cannot leave', async () => {
    const dataFolder = await mkdtemp(join(tmpdir(), 'lacuna-desktop-'));
    const app = await _electron.launch({
      executablePath: electron ?? '',
      args: [fileURLToPath(new URL('../../', import.meta.url)), `--user-data-dir=${join(dataFolder, 'electron')}`],
      env: { ...process.env, XDG_DATA_HOME: dataFolder, LOCALAPPDATA: dataFolder } as Record<string, string>,
    });
    try {
      const page = await app.firstWindow();
      expect(page.url()).toBe('lacuna://page/');
      await expect(page.getByRole('table')).toContainText('K01');
      expect(await page.evaluate(() => [typeof (globalThis as { require?: unknown }).require, typeof (globalThis as { process?: unknown }).process])).toEqual(['undefined', 'undefined']);
      await page.evaluate(() => {
        window.location.href = 'https://example.org/';
        window.open('https://example.org/');
      });
      await page.waitForTimeout(500); // a navigation that was not refused would have begun by then
      expect(page.url()).toBe('lacuna://page/');
      expect(app.windows()).toHaveLength(1);
    } finally {
      await app.close();
      await rm(dataFolder, { recursive: true, force: true });
    }
  });
});
