import type { Locator, Page } from '@playwright/test';

/** The analysis parameters and their effect. */
export class DefinitionsPage {
  readonly page: Page;
  readonly effect: Locator;

  constructor(page: Page) {
    this.page = page;
    this.effect = page.getByRole('complementary', { name: 'Effect of these definitions' });
  }

  field(label: string): Locator {
    return this.page.getByRole('textbox', { name: label });
  }

  /** Returns the number of dropouts at a site before the change and now, as written. */
  async counts(site: string): Promise<{ before: string; now: string }> {
    const row = this.effect.locator('tr').filter({ has: this.page.locator('th', { hasText: site }) });
    const figures = await row.locator('td .figure').allInnerTexts();
    return { before: figures[0] ?? '', now: figures[1] ?? '' };
  }
}
