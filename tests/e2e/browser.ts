import { chromium } from '@playwright/test';
import { existsSync } from 'node:fs';
import { findBrowser } from '../../electron/launch/find-browser.mjs';

/** Returns how to launch the browser of the end-to-end tests: an installed one, else the one Playwright fetched. */
export function launchOptions(): { executablePath?: string; args: string[] } {
  const installed = findBrowser();
  // As root the browser's own sandbox cannot work.
  const args = process.getuid?.() === 0 ? ['--no-sandbox'] : [];
  if (installed !== null) return { executablePath: installed, args };
  if (!existsSync(chromium.executablePath())) throw new Error('no browser for the end-to-end tests; `npm test` installs one');
  return { args };
}
