import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { chromium } from 'playwright-core';
import { rolldown } from 'rolldown';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PAGE_HEADERS } from '../../electron/host/page-files.ts';
import { findBrowser } from '../../electron/launch/find-browser.mjs';
import { SAMPLE_CHARTS } from '../builders/sample-charts.ts';
import type { ChartPage } from './chart-page.ts';

/*
 * What the charts rely on in @observablehq/plot 0.6.17, run in a real browser under the policy of the page: it draws SVG in the
 * page's own document, binds to every mark its place in the data, takes colours as variables of the sheet, and asks for nothing.
 */
const path = (relative: string): string => fileURLToPath(new URL(relative, import.meta.url));
const executablePath = findBrowser();
const ORIGIN = 'https://charts.test';

describe.skipIf(executablePath === null)('@observablehq/plot 0.6.17', () => {
  let browser: Browser;
  let page: Page;
  const requests: string[] = [];
  const errors: string[] = [];

  beforeAll(async () => {
    const bundle = await rolldown({ input: path('chart-page.ts'), platform: 'browser', tsconfig: false });
    const { output } = await bundle.generate({ format: 'iife', codeSplitting: false });
    await bundle.close();
    const script = output[0].code;
    const sheet = ['../../renderer/styles/tokens.css', '../../renderer/charts/charts.css'].map((file) => readFileSync(path(file), 'utf8')).join('\n');
    const bodies: Readonly<Record<string, readonly [string, string]>> = {
      '/': ['text/html', '<!doctype html><html data-theme="light"><head><title>charts</title><link rel="stylesheet" href="/charts.css"></head><body><script src="/charts.js"></script></body></html>'],
      '/charts.css': ['text/css', sheet],
      '/charts.js': ['text/javascript', script],
    };
    browser = await chromium.launch({ executablePath: executablePath ?? '', args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking'] });
    page = await browser.newPage({ viewport: { width: 1100, height: 800 } });
    page.on('pageerror', (error) => errors.push(error.message));
    page.on('console', (message) => { if (message.type() === 'error' || message.type() === 'warning') errors.push(message.text()); });
    await page.route('**/*', (route) => {
      const at = new URL(route.request().url());
      requests.push(at.href);
      const body = at.origin === ORIGIN ? bodies[at.pathname] : undefined;
      return body === undefined ? route.fulfill({ status: 404, body: '' }) : route.fulfill({ contentType: body[0], body: body[1], headers: { ...PAGE_HEADERS } });
    });
    await page.goto(`${ORIGIN}/`);
  }, 60_000);

  afterAll(async () => {
    await browser?.close();
  });

  const on = <T>(run: (chartPage: ChartPage, name: string) => T | Promise<T>, name = ''): Promise<T> =>
    page.evaluate(`(${run.toString()})(window.chartPage, ${JSON.stringify(name)})`) as Promise<T>;

  it.each(Object.keys(SAMPLE_CHARTS))('draws %s: nothing outside the picture, every point a named button in its order', async (name) => {
    await on((chartPage, which) => chartPage.draw(which, 1000), name);
    const found = await page.evaluate(() => {
      const svg = document.querySelector('svg.chart-picture')!;
      const frame = svg.getBoundingClientRect();
      const outside = [...svg.querySelectorAll('text')].filter((text) => {
        const box = text.getBoundingClientRect();
        return box.width > 0 && (box.left < frame.left - 1 || box.right > frame.right + 1 || box.top < frame.top - 1 || box.bottom > frame.bottom + 1);
      });
      const buttons = [...svg.querySelectorAll('[role="button"]')];
      return {
        texts: svg.querySelectorAll('text').length, outside: outside.map((text) => text.textContent), styles: svg.querySelectorAll('style, [style]').length,
        places: buttons.map((button) => Number(button.getAttribute('data-point'))), stops: buttons.filter((button) => button.getAttribute('tabindex') === '0').length,
        unnamed: buttons.filter((button) => (button.getAttribute('aria-label') ?? '') === '').length, smallest: Math.min(...buttons.map((button) => Math.min(button.getBoundingClientRect().width, button.getBoundingClientRect().height))),
        bad: (svg.outerHTML.match(/NaN|undefined|⚠/g) ?? []).length,
      };
    });
    expect(found.texts).toBeGreaterThan(3);
    expect(found).toMatchObject({ outside: [], styles: 0, stops: 1, unnamed: 0, bad: 0 });
    expect(found.places).toEqual(found.places.map((_, i) => i));
    expect(found.smallest).toBeGreaterThanOrEqual(name === 'flow' ? 20 : 24); // px; rows of the flow stand apart by their whole width
  });

  it('follows the theme without being drawn anew', async () => {
    await on((chartPage) => chartPage.draw('funnel', 800));
    const ink = (theme: string) =>
      page.evaluate((name) => {
        document.documentElement.dataset['theme'] = name;
        return [...document.querySelectorAll('svg [fill="var(--accent)"], svg [stroke="var(--ink-soft)"]')].slice(0, 2).map((mark) => `${getComputedStyle(mark).fill} ${getComputedStyle(mark).stroke}`);
      }, theme);
    const [light, dark] = [await ink('light'), await ink('dark')];
    expect(light).toHaveLength(2);
    expect(dark).not.toEqual(light);
  });

  it('goes into an SVG file that stands alone, bright whatever the screen shows, and leaves the theme as it was', async () => {
    await page.evaluate(() => { document.documentElement.dataset['theme'] = 'dark'; });
    const text = await on((chartPage) => chartPage.svg('survival'));
    expect(/var\(| class=| style=|currentColor|chart-hit|href/i.exec(text)?.[0]).toBeUndefined();
    // The last is --site-finger of the bright theme.
    for (const part of ['>What it shows.</text>', '>A note.</text>', 'rgb(0, 98, 160)']) expect(text.includes(part), part).toBe(true);
    expect(await page.evaluate(() => document.documentElement.dataset['theme'])).toBe('dark');
    expect(await page.evaluate((svg) => new DOMParser().parseFromString(svg, 'image/svg+xml').querySelector('parsererror') === null, text)).toBe(true);
  });

  it.each(Object.keys(SAMPLE_CHARTS))('goes into a PNG of twice its size: %s', async (name) => {
    const png = await on((chartPage, which) => chartPage.png(which), name);
    expect(png.type).toBe('image/png');
    expect(png.width).toBe(1920);
    expect(png.inkedShare).toBeGreaterThan(0.005);
  });

  it('is refused nothing by the policy, warns of nothing and asks for nothing', async () => {
    expect(await on((chartPage) => chartPage.refused)).toEqual([]);
    expect(errors.filter((text) => !text.includes('favicon'))).toEqual([]);
    expect(requests.filter((url) => !url.startsWith(`${ORIGIN}/`))).toEqual([]);
  });
});
