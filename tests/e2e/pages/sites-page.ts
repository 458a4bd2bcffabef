import type { Locator, Page } from '@playwright/test';

/** The part of a case that sets its sites against each other, and the place that does so for all chosen cases. */
export class SitesPage {
  readonly page: Page;
  readonly swings: Locator;

  constructor(page: Page) {
    this.page = page;
    this.swings = page.getByRole('grid', { name: 'Falls and rises' }).locator('tr[data-row]');
  }

  /** Returns the rows of a table, each as the texts of its cells: their first lines, since the second is the result with doubtful values as lost. */
  async rowsOf(caption: string | RegExp): Promise<string[][]> {
    const rows = this.page.getByRole('table', { name: caption }).locator('tbody tr');
    const cells = await Promise.all((await rows.all()).map((row) => row.locator('th, td').allInnerTexts()));
    return cells.map((row) => row.map((text) => (text.split('\n')[0] ?? '').replaceAll('\u00a0', ' ')));
  }

  async showPart(part: 'Timeline' | 'Sites compared'): Promise<void> {
    await this.page.getByRole('radio', { name: part }).check({ force: true });
  }
}
