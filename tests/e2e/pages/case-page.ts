import { expect, type Locator, type Page } from '@playwright/test';

/** The screen of one case: sums, timeline, lists. */
export class CasePage {
  readonly page: Page;
  readonly timeline: Locator;
  readonly sums: Locator;
  readonly dropouts: Locator;
  readonly chosen: Locator;

  constructor(page: Page) {
    this.page = page;
    this.timeline = page.getByRole('region', { name: 'Timeline' }).first();
    this.sums = page.locator('table.sums');
    this.dropouts = page.getByRole('grid', { name: 'Dropouts' }).locator('tr[data-row]');
    this.chosen = page.locator('tr[data-row][aria-selected="true"]');
  }

  async waitFor(caseId: string): Promise<void> {
    await expect(this.page.getByRole('heading', { level: 1, name: caseId })).toBeVisible();
    await expect(this.page.locator('.tl-root')).toBeVisible();
  }

  async showList(name: 'Dropouts' | 'Low SpO2' | 'Restored' | 'Exposures' | 'Blind' | 'Record gaps'): Promise<void> {
    await this.page.getByRole('tab', { name: new RegExp(`^${name}`) }).click();
  }

  /** Returns the cells of the sums row of a site: what is counted, in the order of the columns. */
  async sumsOf(site: string): Promise<string[]> {
    const row = this.sums.locator('tr.sums-first').filter({ has: this.page.locator('th', { hasText: site }) });
    return (await row.locator('td').allInnerTexts()).map((text) => text.replaceAll('\u00a0', ' '));
  }
}
