import { appendFile, cp, mkdir, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { test as base, type Page, type Route } from '@playwright/test';
import { startWorkstation } from '../e2e/workstation.ts';
import { callHost, type Arguments, type Method, type Reply } from './call-host.ts';
import { findingsOnScreen } from './findings.ts';
import { seededFolder } from './seed.ts';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));

export type Look = 'light' | 'dark';

/** The sizes of the window at which every screen is looked at, CSS px. */
export const SIZES = [[1280, 800], [1920, 1080], [3840, 2160]] as const;
const [[SMALL_WIDTH, SMALL_HEIGHT]] = SIZES;
/** A small window at 200 %: half of its px in each direction (WCAG 2.2, 1.4.4 and 1.4.10). */
const ENLARGED = [SMALL_WIDTH / 2, SMALL_HEIGHT / 2] as const;
/** Until a theme or a new size is drawn. Pictures are for the eye: a moment more costs nothing, and nothing is asserted. */
const SETTLE_MS = 350;
const TALLEST_PX = 4200;
const MOST_FOLDS = 9;
const OVERLAP_PX = 60;

/** Which pictures of a screen are taken; what is left out, all of them. */
export interface Choice {
  readonly looks?: readonly Look[];
  readonly sizes?: readonly (readonly [number, number])[];
  /** Whether what lies below the fold is taken too, in a window as high as it needs. */
  readonly whole?: boolean;
  /** Whether what lies below the fold is taken window by window as well, at every size in its first look: where a picture of the whole could not be read. */
  readonly folds?: boolean;
  /** Whether a small window at 200 % is taken too. */
  readonly enlarged?: boolean;
  /** Another window than the walk's own. */
  readonly on?: Page;
}

export interface Failed {
  readonly code: string;
  readonly message: string;
  readonly remedy: string;
}

const DISK_FULL: Failed = { code: 'disk-full', message: 'The disk is full: nothing could be written.', remedy: 'Free some space on the disk of the library and try again.' };

/** Keeps requests for addresses of a pattern waiting; returns what lets them go on. */
export async function holdRequests(page: Page, pattern: Parameters<Page['route']>[0]): Promise<() => Promise<void>> {
  let letGo: () => void = () => {};
  const gate = new Promise<void>((resolve) => {
    letGo = resolve;
  });
  const keep = async (route: Route): Promise<void> => {
    await gate;
    await route.continue().catch(() => {}); // the page has gone on without it
  };
  await page.route(pattern, keep);
  return async () => {
    letGo();
    await page.waitForTimeout(50);
    await page.unroute(pattern, keep);
  };
}

/** One walk through a part of the program, in a window of its own over a library of its own. */
export class Screens {
  readonly page: Page;
  readonly area: string;
  /** `screens/AREA`: pictures `NAME-WIDTH-LOOK.png`, `NAME-whole.png`, `NAME-WIDTH-LOOK-2.png` and on below the fold, `NAME-200.png`; `findings.txt`. */
  readonly folder: string;
  /** Where the walk's own libraries lie; gone when the walk is over. */
  readonly dataFolder: string;

  constructor(page: Page, area: string, dataFolder: string) {
    this.page = page;
    this.area = area;
    this.dataFolder = dataFolder;
    this.folder = join(ROOT, 'screens', area);
  }

  /** Takes the pictures of what is shown, and notes what a measure of the page finds: texts cut off, over each other, beyond the window. */
  async see(name: string, { looks = ['light', 'dark'], sizes = SIZES, whole = true, folds = false, enlarged = true, on = this.page }: Choice = {}): Promise<void> {
    const found: string[] = [];
    for (const [width, height] of sizes) {
      await on.setViewportSize({ width, height });
      if (folds) await goToTop(on);
      for (const look of looks) {
        await on.emulateMedia({ colorScheme: look });
        await on.waitForTimeout(SETTLE_MS);
        await on.screenshot({ path: join(this.folder, `${name}-${width}-${look}.png`) });
        if (folds && look === looks[0]) await this.#seeFolds(`${name}-${width}-${look}`, on);
      }
      found.push(...(await on.evaluate(findingsOnScreen)).map((finding) => `${name} ${width}: ${finding}`));
    }
    await on.emulateMedia({ colorScheme: looks[0] ?? 'light' });
    if (whole) await this.#seeWhole(name, on);
    if (enlarged) {
      const [width, height] = ENLARGED;
      await on.setViewportSize({ width, height });
      await on.waitForTimeout(SETTLE_MS);
      await on.screenshot({ path: join(this.folder, `${name}-200.png`) });
      found.push(...(await on.evaluate(findingsOnScreen)).map((finding) => `${name} 200 %: ${finding}`));
    }
    await on.setViewportSize({ width: SMALL_WIDTH, height: SMALL_HEIGHT });
    if (found.length > 0) await appendFile(join(this.folder, 'findings.txt'), `${found.join('\n')}\n`);
  }

  /** What lies below the fold, one window after the other, a little of the one before above each. */
  async #seeFolds(name: string, on: Page): Promise<void> {
    for (let fold = 2; fold <= MOST_FOLDS; fold += 1) {
      const hasMoved = await on.evaluate((overlapPx) => {
        const box = document.querySelector('dialog[open] .dialog-body') ?? document.querySelector('main');
        if (box === null) return false;
        const before = box.scrollTop;
        box.scrollTop = before + box.clientHeight - overlapPx;
        return box.scrollTop > before;
      }, OVERLAP_PX);
      if (!hasMoved) break;
      await on.waitForTimeout(SETTLE_MS);
      await on.screenshot({ path: join(this.folder, `${name}-${fold}.png`) });
    }
    await goToTop(on);
  }

  async #seeWhole(name: string, on: Page): Promise<void> {
    await on.setViewportSize({ width: SMALL_WIDTH, height: SMALL_HEIGHT });
    const below = await on.evaluate(() => Math.max(0, ...[...document.querySelectorAll('main, dialog[open] .dialog-body')].map((box) => box.scrollHeight - box.clientHeight)));
    if (below <= 60) return;
    await on.setViewportSize({ width: SMALL_WIDTH, height: Math.min(SMALL_HEIGHT + Math.ceil(below * 1.15), TALLEST_PX) });
    await on.waitForTimeout(SETTLE_MS);
    await on.screenshot({ path: join(this.folder, `${name}-whole.png`) });
  }

  /** One part of the walk: where it fails, that is noted with a picture, open dialogs are closed, and the walk goes on with the next. */
  async part(name: string, walk: () => Promise<void>): Promise<void> {
    try {
      await base.step(name, walk);
    } catch (error) {
      base.info().annotations.push({ type: 'left out', description: name });
      await this.page.screenshot({ path: join(this.folder, `left-out-${name}.png`) });
      await appendFile(join(this.folder, 'findings.txt'), `${name} LEFT OUT: ${String(error).split('\n').slice(0, 6).join(' | ')}\n`);
      await this.page.setViewportSize({ width: SMALL_WIDTH, height: SMALL_HEIGHT });
      for (let i = 0; i < 3; i += 1) await this.page.keyboard.press('Escape');
    }
  }

  async goTo(place: string): Promise<void> {
    await this.page.getByRole('navigation', { name: 'Places' }).getByRole('button', { name: new RegExp(`^${place}`) }).click();
  }

  /** Chooses a part of a place, such as Trail in `Parts of the review`. */
  async goToPart(parts: string, name: string): Promise<void> {
    await this.page.getByRole('navigation', { name: parts }).getByRole('button', { name: new RegExp(`^${name}`) }).first().click();
  }

  /** Calls the host as the page does. */
  async call<M extends Method>(method: M, args: Arguments<M>): Promise<Reply<M>> {
    return callHost(this.page, method, args);
  }

  /** Keeps calls of the host waiting, so that what is shown meanwhile can be seen; returns what lets them go on. */
  async hold(method: Method): Promise<() => Promise<void>> {
    return holdRequests(this.page, `**/api/${method}`);
  }

  /** Lets calls of the host fail; returns what ends that. */
  async fail(method: Method, failure: Failed = DISK_FULL): Promise<() => Promise<void>> {
    const refuse = (route: Route): Promise<void> => route.fulfill({ status: 200, contentType: 'application/json', body: JSON.stringify({ ok: false, failure }) });
    await this.page.route(`**/api/${method}`, refuse);
    return () => this.page.unroute(`**/api/${method}`, refuse);
  }

  /** Changes what the host replies: for states that real data reach only by chance. Returns what ends that. */
  async answer<M extends Method>(method: M, edit: (value: Reply<M>) => Reply<M>): Promise<() => Promise<void>> {
    const change = async (route: Route): Promise<void> => {
      const response = await route.fetch();
      const said = (await response.json()) as { ok: boolean; value: Reply<M> };
      await route.fulfill({ response, body: JSON.stringify(said.ok ? { ...said, value: edit(said.value) } : said) });
    };
    await this.page.route(`**/api/${method}`, change);
    return () => this.page.unroute(`**/api/${method}`, change);
  }
}

async function goToTop(page: Page): Promise<void> {
  await page.evaluate(() => (document.querySelector('dialog[open] .dialog-body') ?? document.querySelector('main'))?.scrollTo(0, 0));
}

/** What a walk begins with. */
export interface Start {
  /** `samples`: the sample cases; `seeded`: 116 cases with verdicts, charts, actions and stories; `empty`: no case; else the folder of a library. */
  readonly library: 'samples' | 'seeded' | 'empty' | { readonly folder: string };
}

/** Declares a walk; its pictures go to `screens/AREA`. Several walks of an area add to the same folder. */
export function walk(area: string, title: string, { library }: Start, through: (screens: Screens) => Promise<void>): void {
  base(`${area}: ${title}`, async ({ page }) => {
    const dataFolder = await mkdtemp(join(tmpdir(), 'lacuna-screens-'));
    if (library === 'seeded') await cp(await seededFolder(), dataFolder, { recursive: true });
    const workstation = await startWorkstation({ dataFolder, ...(library === 'empty' ? { library: join(dataFolder, 'empty') } : typeof library === 'string' ? {} : { library: library.folder }) });
    const screens = new Screens(page, area, dataFolder);
    try {
      await mkdir(screens.folder, { recursive: true });
      page.on('pageerror', (error) => void appendFile(join(screens.folder, 'findings.txt'), `ERROR IN THE PAGE: ${error.message}\n`));
      await page.setViewportSize({ width: SMALL_WIDTH, height: SMALL_HEIGHT });
      await page.goto(workstation.address);
      await through(screens);
    } finally {
      await workstation.stop();
      await rm(dataFolder, { recursive: true, force: true });
    }
    const leftOut = base.info().annotations.filter(({ type }) => type === 'left out').map(({ description }) => description);
    if (leftOut.length > 0) throw new Error(`left out: ${leftOut.join(', ')}; see ${join('screens', area, 'findings.txt')}`);
  });
}

