import type { Locator, Page } from '@playwright/test';

/** The place Review, and what stands beneath the lists of an open case. */
export class ReviewPage {
  constructor(readonly page: Page) {}

  get dock(): Locator {
    return this.page.getByRole('region', { name: 'Review', exact: true });
  }

  /** What is known of the saving of the verdict that is shown. */
  get savedState(): Locator {
    return this.dock.locator('.verdict-of [role="status"]');
  }

  get queueRows(): Locator {
    return this.page.getByRole('grid', { name: 'Queue of dropouts' }).locator('tr[data-row]');
  }

  verdict(name: string): Locator {
    return this.dock.getByRole('group', { name: 'Verdict' }).getByRole('button', { name: new RegExp(`${name}$`) });
  }

  /** Says who reads, in the place Review. */
  async readAs(name: string): Promise<void> {
    await this.page.keyboard.press('r');
    await this.page.getByLabel('Who reads?').fill(name);
    await this.page.keyboard.press('Enter');
  }

  async showPart(name: 'Queue' | 'Trail'): Promise<void> {
    await this.page.getByRole('navigation', { name: 'Parts of the review' }).getByRole('button', { name }).click();
  }
}
