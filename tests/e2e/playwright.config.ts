import { defineConfig } from '@playwright/test';
import { launchOptions } from './browser.ts';

export default defineConfig({
  testDir: '.',
  testMatch: '*.spec.ts',
  outputDir: '../../test-results',
  timeout: 90_000,
  expect: { timeout: 15_000 },
  // Each file has its own host, library and page, and none asserts a time: two at once use both processors of a small machine.
  workers: 2,
  forbidOnly: true,
  reporter: process.env['LACUNA_E2E_REPORT'] === undefined ? [['list']] : [['list'], ['json', { outputFile: process.env['LACUNA_E2E_REPORT'] }]],
  use: {
    viewport: { width: 1500, height: 950 },
    locale: 'en-GB',
    timezoneId: 'UTC',
    launchOptions: launchOptions(),
    screenshot: 'only-on-failure',
    trace: 'retain-on-failure',
  },
});
