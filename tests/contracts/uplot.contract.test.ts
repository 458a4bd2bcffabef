import { createRequire } from 'node:module';
import type { Browser, Page } from 'playwright-core';
import { chromium } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { findBrowser } from '../../electron/launch/find-browser.mjs';

/*
 * What the timeline relies on in uPlot 1.6.32, run in a real browser: the library draws on a canvas.
 * Source of the traps: house rules of this project, gathered from the library's own issue list (#996, #461, #1068).
 */
const require = createRequire(import.meta.url);
const executablePath = findBrowser();

describe.skipIf(executablePath === null)('uPlot 1.6.32', () => {
  let browser: Browser;
  let page: Page;

  beforeAll(async () => {
    browser = await chromium.launch({ executablePath: executablePath ?? '', args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking'] });
    page = await browser.newPage();
    await page.setContent('<div id="place"></div>');
    await page.addScriptTag({ path: require.resolve('uplot/dist/uPlot.iife.min.js') });
    await page.addScriptTag({
      content: `
        // Draws one line 100 px wide over x 0…99 (so x is the pixel) at half height and tells in which columns ink stands.
        window.inkOf = (xs, ys, more = {}) => {
          const u = new uPlot({
            width: 100, height: 40, padding: [0, 0, 0, 0], legend: { show: false }, cursor: { show: false }, axes: [{ show: false }, { show: false }],
            scales: { x: { time: false, auto: false, range: () => [0, 100] }, y: { auto: false, range: () => [0, 2] } },
            series: [{}, { stroke: '#000', width: 1, points: { show: false }, ...more }],
          }, [xs, ys.map((y) => (y === 'NaN' ? NaN : y === 'undefined' ? undefined : y))], document.getElementById('place'));
          u.batch(() => u.setScale('x', { min: 0, max: 100 }));
          const { data } = u.ctx.getImageData(0, 0, 100, 40);
          const ink = [];
          for (let x = 0; x < 100; x++) { let sum = 0; for (let y = 0; y < 40; y++) sum += data[(y * 100 + x) * 4 + 3]; ink.push(sum > 40); }
          u.destroy();
          return ink;
        };`,
    });
  }, 60_000);

  afterAll(async () => {
    await browser?.close();
  });

  type Cell = number | null | 'NaN' | 'undefined';
  /** Returns whether there is ink in the middle of the stretch 40…60 that `missing` fills. */
  async function bridges(missing: Cell): Promise<boolean> {
    const xs = Array.from({ length: 11 }, (_, i) => i * 10);
    const ys: Cell[] = xs.map((x) => (x === 50 ? missing : 1));
    const ink = await page.evaluate(([x, y]) => (window as unknown as { inkOf: (x: number[], y: unknown[]) => boolean[] }).inkOf(x, y), [xs, ys] as const);
    expect(ink[20]).toBe(true);
    expect(ink[80]).toBe(true);
    return ink.slice(43, 57).some(Boolean);
  }

  it('breaks a line at null', async () => {
    expect(await bridges(null)).toBe(false);
  });
  it('bridges undefined, which is why it stands for "nothing here and the line goes on"', async () => {
    expect(await bridges('undefined')).toBe(true);
  });
  it('does not draw the break of a NaN as it does of a null, which is why no NaN is ever handed over', async () => {
    expect(await bridges('NaN')).toBe(true);
  });
  it('clears a break only between the neighbours of its nulls: undefined beside a null is bridged, so every slot of a break is null', async () => {
    const xs = Array.from({ length: 101 }, (_, i) => i);
    const line = (cellOf: (x: number) => Cell): Cell[] => xs.map((x) => (x < 30 || x > 70 ? 1 : cellOf(x)));
    const inkOf = (ys: Cell[]) => page.evaluate(([x, y]) => (window as unknown as { inkOf: (x: number[], y: unknown[]) => boolean[] }).inkOf(x, y), [xs, ys] as const);
    const oneNull = await inkOf(line((x) => (x === 70 ? null : 'undefined')));
    const allNull = await inkOf(line(() => null));
    expect(oneNull.slice(35, 65).some(Boolean)).toBe(true);
    expect(allNull.slice(33, 67).some(Boolean)).toBe(false);
  });
  it('shows a break of less than a pixel as no break: dropouts need a layer of their own', async () => {
    const xs = Array.from({ length: 1001 }, (_, i) => i / 10);
    const ys: Cell[] = xs.map((_, i) => (i >= 502 && i <= 504 ? null : 1));
    const ink = await page.evaluate(([x, y]) => (window as unknown as { inkOf: (x: number[], y: unknown[]) => boolean[] }).inkOf(x, y), [xs, ys] as const);
    expect(ink.slice(5, 95).every(Boolean)).toBe(true);
  });
  it('draws at the end of a batch, without waiting for a microtask', async () => {
    const xs = [0, 50, 100];
    const ys: Cell[] = [1, 1, 1];
    // inkOf reads the canvas right after the batch: any ink proves it.
    const ink = await page.evaluate(([x, y]) => (window as unknown as { inkOf: (x: number[], y: unknown[]) => boolean[] }).inkOf(x, y), [xs, ys] as const);
    expect(ink.slice(5, 95).every(Boolean)).toBe(true);
  });
  it('takes its canvas out of the page on destroy', async () => {
    expect(await page.evaluate(() => document.querySelectorAll('#place canvas, #place .uplot').length)).toBe(0);
  });
});
