import type { Download, Locator, Page } from '@playwright/test';

/** The place of many cases: its questions, their pictures and tables, and the quality charts. */
export class CohortPage {
  readonly page: Page;
  readonly counts: Locator;

  constructor(page: Page) {
    this.page = page;
    this.counts = page.locator('.cohort .counts');
  }

  /** Returns a picture by its title. */
  chart(title: string | RegExp): Locator {
    return this.page.getByRole('figure', { name: title });
  }

  /** Returns the points of a picture, each a button. */
  points(title: string | RegExp): Locator {
    return this.chart(title).locator('.chart-place [role="button"]');
  }

  async showPart(part: 'Questions' | 'Quality charts'): Promise<void> {
    await this.page.getByRole('navigation', { name: 'Parts of the cohort' }).getByRole('button', { name: part }).click();
  }

  /** Presses one of the buttons that save a file and returns it. */
  async save(title: string | RegExp, button: 'Save as SVG' | 'Save as PNG' | 'Save numbers as CSV'): Promise<Download> {
    const [download] = await Promise.all([this.page.waitForEvent('download'), this.chart(title).getByRole('button', { name: button }).click()]);
    return download;
  }
}
