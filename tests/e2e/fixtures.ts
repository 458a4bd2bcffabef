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

/** Tests over one running workstation whose library holds the sample cases; each test has a window of its own, opened. */
export const test = base.extend<Pages, { workstation: Workstation }>({
  workstation: [
    async ({}, use) => {
      const workstation = await startWorkstation();
      await use(workstation);
      await workstation.stop();
    },
    { scope: 'worker', timeout: 180_000 },
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
