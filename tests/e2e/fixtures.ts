import { test as base } from '@playwright/test';
import { CasePage } from './pages/case-page.ts';
import { CohortPage } from './pages/cohort-page.ts';
import { DefinitionsPage } from './pages/definitions-page.ts';
import { ImportPage } from './pages/import-page.ts';
import { LibraryPage } from './pages/library-page.ts';
import { SitesPage } from './pages/sites-page.ts';
import { WindowPage } from './pages/window-page.ts';
import { startWorkstation, type Workstation } from './workstation.ts';

interface Pages {
  readonly frame: WindowPage;
  readonly library: LibraryPage;
  readonly openCase: CasePage;
  readonly imports: ImportPage;
  readonly definitions: DefinitionsPage;
  readonly sites: SitesPage;
  readonly cohort: CohortPage;
}

/** The running workstation of one file of tests, until the next file asks. */
interface StationOfFile {
  of(file: string): Promise<Workstation>;
}

/**
 * Tests over a running workstation whose library holds the sample cases: one for each file, so that nothing that a file leaves behind
 * meets another, whichever of them ran before. Each test has a window of its own, opened.
 */
export const test = base.extend<Pages & { workstation: Workstation }, { stationOfFile: StationOfFile }>({
  stationOfFile: [
    async ({}, use) => {
      let running: { readonly file: string; readonly workstation: Workstation } | null = null;
      await use({
        async of(file) {
          if (running?.file === file) return running.workstation;
          await running?.workstation.stop();
          running = null;
          const workstation = await startWorkstation();
          running = { file, workstation };
          return workstation;
        },
      });
      // A closure assigned it: what the compiler knows of it ends there.
      await (running as { readonly workstation: Workstation } | null)?.workstation.stop();
    },
    { scope: 'worker' },
  ],
  workstation: [
    async ({ stationOfFile }, use, testInfo) => {
      await use(await stationOfFile.of(testInfo.file));
    },
    { timeout: 180_000 },
  ],
  frame: [
    async ({ page, workstation }, use) => {
      const frame = new WindowPage(page);
      await frame.open(workstation.address);
      await use(frame);
    },
    { auto: true },
  ],
  library: async ({ page }, use) => use(new LibraryPage(page)),
  openCase: async ({ page }, use) => use(new CasePage(page)),
  imports: async ({ page }, use) => use(new ImportPage(page)),
  definitions: async ({ page }, use) => use(new DefinitionsPage(page)),
  sites: async ({ page }, use) => use(new SitesPage(page)),
  cohort: async ({ page }, use) => use(new CohortPage(page)),
});

export { expect } from '@playwright/test';
