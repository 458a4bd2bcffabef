import type { Locator, Page } from '@playwright/test';

/** The library of cases. */
export class LibraryPage {
  readonly page: Page;
  readonly grid: Locator;
  readonly rows: Locator;
  readonly counts: Locator;

  constructor(page: Page) {
    this.page = page;
    this.grid = page.getByRole('grid', { name: 'Cases' });
    this.rows = this.grid.locator('tr[data-row]');
    this.counts = page.locator('.counts');
  }

  row(caseId: string): Locator {
    return this.rows.filter({ has: this.page.getByRole('button', { name: caseId, exact: true }) });
  }

  header(name: string): Locator {
    return this.grid.getByRole('columnheader', { name: new RegExp(`^${name}`) });
  }

  async sortBy(name: string): Promise<void> {
    await this.header(name).locator('.sort-button').click();
  }

  /** Returns the names of the cases from top to bottom. */
  async names(): Promise<string[]> {
    return this.rows.locator('td:nth-child(2)').allInnerTexts();
  }

  async openCase(caseId: string): Promise<void> {
    await this.page.getByRole('button', { name: caseId, exact: true }).click();
  }

  async remove(caseId: string): Promise<void> {
    await this.page.getByRole('button', { name: `Remove ${caseId} from the library` }).click();
    await this.page.getByRole('dialog').getByRole('button', { name: 'Remove it' }).click();
  }
}
