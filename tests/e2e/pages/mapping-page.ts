import { expect, type Locator, type Page } from '@playwright/test';

/** The screen on which one file's rows lie beside what they become. */
export class MappingPage {
  readonly page: Page;
  readonly readAgain: Locator;
  /** Data rows of either side, headings and the like left out. */
  readonly left: Locator;
  readonly right: Locator;

  constructor(page: Page) {
    this.page = page;
    this.readAgain = page.getByRole('button', { name: 'Read again with this' });
    this.left = page.getByRole('group', { name: 'The file as it stands' }).locator('tbody tr');
    this.right = page.getByRole('group', { name: /^What it becomes/ }).locator('tbody tr');
  }

  async waitFor(file: string): Promise<void> {
    await expect(this.page.getByRole('heading', { level: 1, name: 'How this file is read' })).toBeVisible();
    await expect(this.page.locator('.mapping-file')).toContainText(file);
    await expect(this.left.first()).toBeVisible();
  }

  /** Waits until the rows are those of what is said now. */
  async settled(): Promise<void> {
    await expect(this.page.locator('.mapping-stale')).toHaveCount(0);
    await expect(this.page.locator('.mapping-state')).not.toContainText('Trying your change');
  }

  async choosePart(name: string | RegExp): Promise<void> {
    await this.page.getByRole('tab', { name }).click();
  }
}
