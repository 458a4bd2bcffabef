import { defineConfig } from '@playwright/test';
import { launchOptions } from './browser.ts';

export default defineConfig({
  testDir: '.',
  testMatch: '*.spec.ts',
  outputDir: '../../test-results',
  timeout: 90_000,
  expect: { timeout: 15_000 },
  // The machine is shared by the page, its host and its workers; tests in parallel would measure each other.
  workers: 1,
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
