import { expect, type Locator, type Page } from '@playwright/test';

export interface GivenFile {
  readonly name: string;
  readonly mimeType: string;
  readonly buffer: Buffer;
}

/** Returns a text file to hand to the page. */
export function textFile(name: string, text: string): GivenFile {
  return { name, mimeType: 'text/csv', buffer: Buffer.from(text) };
}

/** The import and its report. */
export class ImportPage {
  readonly page: Page;
  readonly headline: Locator;
  readonly readAgain: Locator;

  constructor(page: Page) {
    this.page = page;
    this.headline = page.locator('.import .lead');
    this.readAgain = page.getByRole('button', { name: 'Read again' });
  }

  async chooseFolder(path: string): Promise<void> {
    await this.page.getByTestId('folder-input').setInputFiles(path);
  }

  async chooseFiles(files: string[] | GivenFile[]): Promise<void> {
    await this.page.getByTestId('file-input').setInputFiles(files);
  }

  async waitForReport(): Promise<void> {
    await expect(this.page.getByRole('heading', { level: 1, name: 'Import report' })).toBeVisible({ timeout: 60_000 });
  }

  /** Returns the part of the report about one file, opened. */
  async file(name: string): Promise<Locator> {
    const section = this.page.locator(`details[data-file="${name}"]`);
    await expect(section).toBeVisible();
    if (!(await section.evaluate((element) => element instanceof HTMLDetailsElement && element.open))) await section.locator('summary').first().click();
    return section;
  }
}
