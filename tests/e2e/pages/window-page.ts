import AxeBuilder from '@axe-core/playwright';
import { expect, type Locator, type Page } from '@playwright/test';

export type PlaceName = 'Library' | 'Case' | 'Sites' | 'Cohort' | 'Review' | 'Meeting' | 'Import' | 'Definitions' | 'About';

/** The frame of the window: places, theme, keys, messages. */
export class WindowPage {
  readonly page: Page;
  readonly places: Locator;
  readonly messages: Locator;

  constructor(page: Page) {
    this.page = page;
    this.places = page.getByRole('navigation', { name: 'Places' });
    this.messages = page.locator('.toast');
  }

  /** Opens the window; anything the page reports as an error fails the test. */
  async open(address: string): Promise<void> {
    this.page.on('pageerror', (error) => {
      throw error;
    });
    await this.page.goto(address);
    await expect(this.page.getByRole('heading', { level: 1, name: 'Library' })).toBeVisible();
  }

  async goTo(place: PlaceName): Promise<void> {
    await this.places.getByRole('button', { name: new RegExp(`^${place}`) }).click();
  }

  async choose(theme: 'Light' | 'Dark' | 'System'): Promise<void> {
    await this.page.getByRole('radio', { name: theme }).check({ force: true });
  }

  /**
   * Returns the findings of colour in the dark theme, where nothing but colours differs from the light one; the light one is shown
   * again afterwards. The window has to follow the system's theme, as it does at first.
   */
  async darkFindings(): Promise<string[]> {
    await this.page.emulateMedia({ colorScheme: 'dark' });
    await expect(this.page.locator('html')).toHaveAttribute('data-theme', 'dark');
    const found = serious(await new AxeBuilder({ page: this.page }).withRules(['color-contrast', 'link-in-text-block']).analyze());
    await this.page.emulateMedia({ colorScheme: 'light' });
    await expect(this.page.locator('html')).toHaveAttribute('data-theme', 'light');
    return found.map((finding) => `dark: ${finding}`);
  }

  /** Returns the findings in both themes: all rules in the light one, those of colour in the dark one. */
  async findingsInBothThemes(): Promise<string[]> {
    return [...(await this.seriousFindings()), ...(await this.darkFindings())];
  }

  /** Returns the serious and critical findings of axe on what is shown, as short lines. */
  async seriousFindings(): Promise<string[]> {
    return serious(await new AxeBuilder({ page: this.page }).analyze());
  }
}

function serious({ violations }: Awaited<ReturnType<AxeBuilder['analyze']>>): string[] {
  return violations
    .filter((violation) => violation.impact === 'serious' || violation.impact === 'critical')
    .flatMap((violation) => violation.nodes.map((node) => `${violation.id}: ${node.target.join(' ')} ${node.failureSummary ?? ''}`));
}
