import type { Browser, Page } from 'playwright-core';
import { chromium } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { findBrowser } from '../../electron/launch/find-browser.mjs';
import { serveHarness } from '../bench/harness/build.mjs';

const executablePath = findBrowser();

describe.skipIf(executablePath === null)('the timeline in a browser, on built data', () => {
  let browser: Browser;
  let harness: Awaited<ReturnType<typeof serveHarness>>;

  beforeAll(async () => {
    harness = await serveHarness();
    browser = await chromium.launch({ executablePath: executablePath ?? '', args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking'] });
  }, 120_000);

  afterAll(async () => {
    await browser?.close();
    await harness?.stop();
  });

  async function open(query: string): Promise<{ page: Page; errors: string[] }> {
    const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
    const errors: string[] = [];
    page.on('pageerror', (error) => errors.push(error.message));
    // Counts listeners on what outlives a chart: the window, the document, the watched theme.
    await page.addInitScript(() => {
      const held = { listeners: 0 };
      Object.assign(window, { held });
      for (const target of [window, document]) {
        const add = target.addEventListener.bind(target);
        const remove = target.removeEventListener.bind(target);
        target.addEventListener = (type: string, listener: EventListenerOrEventListenerObject, options?: boolean | AddEventListenerOptions) => {
          held.listeners++;
          add(type, listener, options);
        };
        target.removeEventListener = (type: string, listener: EventListenerOrEventListenerObject, options?: boolean | EventListenerOptions) => {
          held.listeners--;
          remove(type, listener, options);
        };
      }
    });
    await page.goto(`${harness.address}?${query}`);
    await page.waitForFunction(() => 'harness' in window);
    return { page, errors };
  }

  const drawn = (page: Page) => page.waitForSelector('.tl-root[data-drawn="true"]');

  it('leaves no canvas, no chart and no listener behind after a hundred openings', async () => {
    const { page, errors } = await open('mount=no');
    const cycle = async (times: number) =>
      page.evaluate(async (n) => {
        for (let i = 0; i < n; i++) {
          await window.harness.mount();
          window.harness.unmount();
        }
        return { canvases: document.querySelectorAll('canvas').length, charts: document.querySelectorAll('.uplot').length, listeners: (window as unknown as { held: { listeners: number } }).held.listeners };
      }, times);
    const first = await cycle(2);
    const last = await cycle(98);
    expect(first.canvases).toBe(0);
    expect(last).toEqual(first);
    expect(errors).toEqual([]);
    await page.close();
  }, 120_000);

  it('goes from dropout to dropout by key, says each in words and moves the window there', async () => {
    const { page, errors } = await open('case=three-hour');
    await drawn(page);
    await page.locator('.tl-stage').focus();
    await page.keyboard.press('n');
    await drawn(page);
    expect(await page.locator('[data-spoken]').innerText()).toMatch(/^Dropout 1 of 8, finger, 09:37:00 to 09:38:40, lost 1 min 40 s to 1 min 50 s/);
    const window1 = await page.evaluate(() => window.harness.viewport().get());
    expect(window1.startMs).toBeLessThan(1_500_000 - 300_000 + 5000);
    expect(window1.endMs).toBeGreaterThan(1_605_000);
    await page.keyboard.press('n');
    await page.keyboard.press('p');
    await drawn(page);
    expect(await page.locator('[data-spoken]').innerText()).toMatch(/^Dropout 1 of 8/);
    expect(errors).toEqual([]);
    await page.close();
  });

  it('steps the cursor by recorded samples and gives every value there', async () => {
    const { page } = await open('case=three-hour');
    await drawn(page);
    await page.locator('.tl-stage').focus();
    await page.evaluate(() => window.harness.viewport().setCursorMs(1_000_000));
    await page.keyboard.press('.');
    expect(await page.evaluate(() => window.harness.viewport().getCursorMs())).toBe(1_005_000);
    expect(await page.locator('[data-cursor-clock]').innerText()).toBe('At 09:28:45');
    expect(await page.locator('[data-entry="spo2@finger"] .tl-entry-value').innerText()).toMatch(/^\d+ %$/);
    expect(await page.locator('[data-entry="spo2@ear lobe"] .tl-entry-value').innerText()).toBe('no value');
    expect(await page.locator('[data-spoken]').innerText()).toMatch(/^09:28:45\. SpO2 finger \d+ %\. SpO2 ear lobe no value\./);
    await page.keyboard.press('Alt+ArrowLeft');
    expect(await page.evaluate(() => window.harness.viewport().getCursorMs())).toBe(1_000_000);
    await page.close();
  });

  it('zooms at the pointer, pans by drag, and fits again', async () => {
    const { page } = await open('case=three-hour');
    await drawn(page);
    const box = await page.locator('.tl-pointer').boundingBox();
    if (box === null) throw new Error('no plot');
    const x = box.x + box.width / 4;
    await page.mouse.move(x, box.y + 300);
    const before = await page.evaluate(() => window.harness.viewport().get());
    await page.mouse.wheel(0, -300);
    await page.waitForFunction((span) => window.harness.viewport().get().endMs - window.harness.viewport().get().startMs < span, before.endMs - before.startMs);
    const zoomed = await page.evaluate(() => window.harness.viewport().get());
    const under = (w: { startMs: number; endMs: number }) => w.startMs + (w.endMs - w.startMs) / 4;
    expect(Math.abs(under(zoomed) - under(before))).toBeLessThan(5000);
    await page.mouse.down();
    await page.mouse.move(x - 100, box.y + 300, { steps: 4 });
    await page.mouse.up();
    const panned = await page.evaluate(() => window.harness.viewport().get());
    expect(panned.startMs).toBeCloseTo(zoomed.startMs + ((zoomed.endMs - zoomed.startMs) / box.width) * 100, -3);
    await page.locator('.tl-stage').focus();
    await page.keyboard.press('0');
    expect(await page.evaluate(() => window.harness.viewport().get())).toEqual(before);
    await page.close();
  });

  it('shows 1, 5 and 15 min around the cursor by key, says the window, and the whole case again', async () => {
    const { page, errors } = await open('case=three-hour');
    await drawn(page);
    await page.locator('.tl-stage').focus();
    const span = () => page.evaluate(() => window.harness.viewport().get());
    const atMs = 3_600_000;
    await page.evaluate((ms) => window.harness.viewport().setCursorMs(ms), atMs);
    for (const [key, halfMs] of [['1', 60_000], ['2', 300_000], ['3', 900_000]] as const) {
      await page.keyboard.press(key);
      expect(await span()).toEqual({ startMs: atMs - halfMs, endMs: atMs + halfMs });
    }
    expect(await page.locator('[data-spoken]').innerText()).toMatch(/^Showing \d\d:\d\d:\d\d to \d\d:\d\d:\d\d, 30 min\.$/);
    await page.keyboard.press('0');
    expect(await span()).toEqual(await page.evaluate(() => window.harness.viewport().bounds));
    // Out of sight, the cursor gives way to what is chosen: dropout 1 lies at 09:37:00 to 09:38:40, its last good and first good value 5 s beyond.
    await page.keyboard.press('n');
    await page.evaluate(() => window.harness.viewport().setCursorMs(9_000_000));
    await page.keyboard.press('1');
    const { startMs, endMs } = await span();
    expect(endMs - startMs).toBe(120_000);
    expect(Math.abs((startMs + endMs) / 2 - 1_547_500)).toBeLessThanOrEqual(10_000);
    expect(errors).toEqual([]);
    await page.close();
  }, 60_000);

  it('answers a pinch on a trackpad, two fingers on a screen, and scrolls the lanes with alt and the wheel', async () => {
    const { page, errors } = await open('case=three-hour');
    await page.setViewportSize({ width: 1280, height: 420 });
    await drawn(page);
    const span = () => page.evaluate(() => window.harness.viewport().get());
    const box = (await page.locator('.tl-pointer').boundingBox())!;
    const middle = { x: box.x + box.width / 2, y: box.y + 60 };
    await page.evaluate(() => window.harness.viewport().set({ startMs: 3_600_000, endMs: 7_200_000 }));
    await page.mouse.move(middle.x, middle.y);
    await page.keyboard.down('Control');
    await page.mouse.wheel(0, -20);
    await page.keyboard.up('Control');
    await expect.poll(async () => { const { startMs, endMs } = await span(); return endMs - startMs; }).toBeLessThan(3_000_000);
    const pinched = await span();
    expect((pinched.startMs + pinched.endMs) / 2).toBeCloseTo(5_400_000, -4);
    await page.mouse.wheel(100, 0);
    await expect.poll(async () => (await span()).startMs).toBeGreaterThan(pinched.startMs);
    await page.keyboard.down('Alt');
    await page.mouse.wheel(0, 60);
    await page.keyboard.up('Alt');
    await expect.poll(() => page.locator('.tl-stage').evaluate((stage) => stage.scrollTop)).toBeGreaterThan(0);
    // Two fingers move apart about the middle, then both to the left: less time, and later.
    await page.evaluate(() => window.harness.viewport().set({ startMs: 3_600_000, endMs: 7_200_000 }));
    const touch = await page.context().newCDPSession(page);
    const fingers = (type: 'touchStart' | 'touchMove' | 'touchEnd', xs: readonly number[]) => touch.send('Input.dispatchTouchEvent', { type, touchPoints: xs.map((x, id) => ({ x, y: middle.y, id })) });
    await fingers('touchStart', [middle.x - 50, middle.x + 50]);
    await fingers('touchMove', [middle.x - 100, middle.x + 100]);
    const apart = await span();
    expect(apart.endMs - apart.startMs).toBeCloseTo(1_800_000, -5);
    await fingers('touchMove', [middle.x - 200, middle.x]);
    await fingers('touchEnd', []);
    expect((await span()).startMs).toBeGreaterThan(apart.startMs + 150_000);
    // One finger: to the left goes later, by as much time as it went px; upwards the lanes scroll; a tap sets the cursor.
    await page.evaluate(() => window.harness.viewport().set({ startMs: 3_600_000, endMs: 7_200_000 }));
    const scrolled = await page.locator('.tl-stage').evaluate((stage) => stage.scrollTop);
    const finger = (type: 'touchStart' | 'touchMove' | 'touchEnd', points: readonly (readonly [number, number])[]) => touch.send('Input.dispatchTouchEvent', { type, touchPoints: points.map(([dx, dy]) => ({ x: middle.x + dx, y: middle.y + 100 + dy, id: 0 })) });
    await finger('touchStart', [[0, 0]]);
    await finger('touchMove', [[-60, 0]]);
    await finger('touchMove', [[-120, 0]]);
    await finger('touchMove', [[-120, -40]]);
    await finger('touchEnd', []);
    expect((await span()).startMs).toBeCloseTo(3_600_000 + (3_600_000 / box.width) * 120, -4);
    expect(await page.locator('.tl-stage').evaluate((stage) => stage.scrollTop)).toBe(scrolled + 40);
    await finger('touchStart', [[80, 0]]);
    await finger('touchEnd', []);
    const { startMs } = await span();
    expect(await page.evaluate(() => window.harness.viewport().getCursorMs())).toBeCloseTo(startMs + 1_800_000 + (3_600_000 / box.width) * 80, -4);
    expect(errors).toEqual([]);
    await page.close();
  }, 60_000);

  it('draws lanes out of sight once they are scrolled to, in the window of then, and all of them on paper', async () => {
    const { page, errors } = await open('case=twenty-four-lanes');
    await drawn(page);
    const lanes = page.locator('.tl-plot-place');
    const inked = () => lanes.evaluateAll((places) => places.map((place) => {
      const canvas = place.querySelector('canvas');
      const pixels = canvas?.getContext('2d')?.getImageData(0, 0, canvas.width, canvas.height).data;
      return pixels?.some((value) => value > 0) === true;
    }));
    const first = await inked();
    expect([first.length, first[0], first.at(-1)]).toEqual([24, true, false]);
    // A lane that was drawn, left and come back to shows the window of now.
    const pictureOf = (i: number) => lanes.nth(i).evaluate((place) => place.querySelector('canvas')?.toDataURL());
    const before = await pictureOf(0);
    await page.locator('.tl-stage').evaluate((stage) => stage.scrollTo(0, stage.scrollHeight));
    await expect.poll(async () => (await inked()).at(-1)).toBe(true);
    await page.evaluate(() => window.harness.viewport().set({ startMs: 3_600_000, endMs: 5_400_000 }));
    await drawn(page);
    expect(await pictureOf(0)).toBe(before);
    await page.locator('.tl-stage').evaluate((stage) => stage.scrollTo(0, 0));
    await expect.poll(() => pictureOf(0)).not.toBe(before);
    await page.evaluate(() => {
      document.documentElement.dataset['printing'] = 'true';
      window.dispatchEvent(new Event('beforeprint'));
    });
    expect((await inked()).every(Boolean)).toBe(true);
    expect(errors).toEqual([]);
    await page.close();
  }, 60_000);

  it('keeps every dropout visible when ten hours fill the screen, and tells it from one that only doubtful values make', async () => {
    const { page } = await open('case=ten-hour');
    await drawn(page);
    const { solidRuns, edges, marks } = await page.evaluate(() => {
      const canvas = document.querySelector<HTMLCanvasElement>('.tl-scene');
      const ctx = canvas?.getContext('2d');
      const row = [...document.querySelectorAll<HTMLElement>('.tl-row-title')].find((title) => title.textContent === 'finger');
      const plot = document.querySelector<HTMLElement>('.tl-pointer');
      if (!canvas || !ctx || !row || !plot) throw new Error('no scene');
      const leftPx = plot.getBoundingClientRect().left - canvas.getBoundingClientRect().left;
      const wanted = getComputedStyle(document.documentElement).getPropertyValue('--site-finger').trim();
      const [r, g, b] = [1, 3, 5].map((at) => parseInt(wanted.slice(at, at + 2), 16));
      /** Stretches of the site's own ink in one line of pixels, in px from the left end of the plot. */
      const runsAt = (y: number): { from: number; to: number }[] => {
        const { data } = ctx.getImageData(0, y, canvas.width, 1);
        const runs: { from: number; to: number }[] = [];
        let from: number | null = null;
        for (let x = 0; x <= canvas.width; x++) {
          const isInk = x < canvas.width && data[x * 4] === r && data[x * 4 + 1] === g && data[x * 4 + 2] === b;
          if (isInk && from === null) from = x;
          if (!isInk && from !== null) {
            runs.push({ from: from - leftPx, to: x - leftPx });
            from = null;
          }
        }
        return runs;
      };
      // A solid mark is filled from one px below the top of the row; a hollow one has its upper edge three px below, and nothing above it.
      const [above, edge] = [2, 3].map((y) => ctx.getImageData(0, row.offsetTop + y, canvas.width, 1).data);
      const edges: number[] = [];
      for (let x = 0; x < canvas.width; x++) if ([0, 1, 2].some((i) => above?.[x * 4 + i] !== edge?.[x * 4 + i])) edges.push(x - leftPx);
      return { solidRuns: runsAt(row.offsetTop + 2), edges, marks: window.harness.fingerMarks(plot.getBoundingClientRect().width) };
    });
    const spoken = await page.locator('.tl-stage').getAttribute('aria-label');
    expect(marks.solid).toHaveLength(Number(/(\d+) dropouts/.exec(spoken ?? '')?.[1]));
    expect(marks.solid.length).toBeGreaterThan(10);
    expect(marks.hollow.length).toBeGreaterThan(0);
    const covers = (runs: readonly { from: number; to: number }[], px: number): boolean => runs.some(({ from, to }) => px >= from - 1 && px <= to + 1);
    // Three px wide, of which at least two are whole after antialiasing at either edge.
    const whole = solidRuns.filter(({ from, to }) => to - from >= 2);
    expect(whole).toHaveLength(marks.solid.length);
    expect(marks.solid.filter((px) => !covers(whole, px))).toEqual([]);
    expect(marks.hollow.filter((px) => covers(solidRuns, px))).toEqual([]);
    expect(marks.hollow.filter((px) => !edges.some((x) => Math.abs(x - px) <= 3))).toEqual([]);
    await page.close();
  });

  it('turns into a table by key, takes the focus along, and back', async () => {
    const { page } = await open('case=three-hour');
    await drawn(page);
    await page.locator('.tl-stage').focus();
    await page.keyboard.press('t');
    await page.waitForSelector('.tl-tables table');
    expect(await page.evaluate(() => document.activeElement?.className)).toBe('tl-tables');
    expect(await page.locator('.tl-tables caption').allInnerTexts()).toEqual(['Dropouts in this window', 'Doubtful, held and refused values in this window', 'What happened in this window', expect.stringMatching(/^Values in this window \(one recorded row in \d+/)]);
    expect(await page.locator('.tl-tables table').first().locator('tbody tr').count()).toBe(8);
    await page.keyboard.press('t');
    await page.waitForSelector('.tl-stage');
    expect(await page.evaluate(() => document.activeElement?.className)).toBe('tl-stage');
    await page.close();
  });

  it('writes nothing smaller than 11.5 px', async () => {
    const { page } = await open('case=three-hour');
    await drawn(page);
    const sizes = await page.evaluate(() => [...document.querySelectorAll('.tl-root *')].filter((element) => element.textContent !== '').map((element) => parseFloat(getComputedStyle(element).fontSize)));
    expect(Math.min(...sizes)).toBeGreaterThanOrEqual(11.5);
    await page.close();
  });
});
