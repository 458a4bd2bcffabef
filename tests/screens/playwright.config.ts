import { defineConfig } from '@playwright/test';
import { launchOptions } from '../e2e/browser.ts';

/** The walks through every screen: they take pictures to be looked at and assert little. `npm run screens`, not part of `npm test`. */
export default defineConfig({
  testDir: '.',
  testMatch: '*.screens.ts',
  outputDir: '../../test-results/screens',
  // A walk takes some hundred pictures.
  timeout: 30 * 60_000,
  workers: 1,
  forbidOnly: true,
  reporter: [['list']],
  use: { locale: 'en-GB', timezoneId: 'UTC', launchOptions: launchOptions(), actionTimeout: 20_000 },
});
