/*
 * Every picture of the gallery against the stored one: its geometry first, its pixels where this browser paints letters as the one did
 * that painted the stored picture. What is stored is regression: it only shows that something changed. That a picture is right was
 * looked at when it was accepted (`npm run gallery -- --accept`).
 */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { afterAll, describe, expect, it } from 'vitest';
import { findBrowser } from '../../electron/launch/find-browser.mjs';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { encodeCase } from '../../core/persist/case-bytes.ts';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { importFiles } from '../../core/pipeline/import-files.ts';
import { folderSources, plainImport } from '../builders/byte-source.ts';
import { servePage } from '../builders/serve-page.mjs';
import type { PictureScreen } from './page/main.tsx';
import { SAMPLE_NAMES } from './page/picture.ts';
import { packPng } from './pack-png.ts';
import { readStored, removeChanged, storedNames, writeChanged } from './picture-store.ts';

/**
 * Pixels of a picture that may differ beyond the levels of `compare-pixels.ts`, for each million: a processor that joins antialiased
 * edges otherwise moves a few dozen, a tick that is gone or a text moved by one px some hundred.
 */
const PIXELS_PER_MILLION = 60;
/** Lines of a difference that a failure shows; all of it comes with `npm run gallery -- --show`. */
const LINES_SHOWN = 12;

/** Returns the sample cases of the gallery as the page takes them. */
async function sampleFiles(): Promise<Map<string, Uint8Array>> {
  const files = new Map<string, Uint8Array>();
  for (const name of SAMPLE_NAMES) {
    const folder = join(import.meta.dirname, '..', '..', 'sample-cases', 'cases', name);
    const [record] = (await importFiles(folderSources(folder), plainImport())).cases;
    if (record === undefined) throw new Error(`${name} holds no case`);
    files.set(`${name}.case`, encodeCase(record, analyzeCase(record, DEFAULT_PARAMETERS, 'gallery')));
  }
  return files;
}

/** Returns lines that only one of two texts has, marked - and +. */
function differenceOf(before: string, after: string): string {
  const [a, b] = [before.split('\n'), after.split('\n')];
  const [inA, inB] = [new Set(a), new Set(b)];
  const lines = [...a.filter((line) => !inB.has(line)).map((line) => `- ${line}`), ...b.filter((line) => !inA.has(line)).map((line) => `+ ${line}`)];
  return [...lines.slice(0, LINES_SHOWN), ...(lines.length > LINES_SHOWN ? [`… ${lines.length - LINES_SHOWN} more lines`] : [])].join('\n');
}

const installed = findBrowser() ?? (existsSync(chromium.executablePath()) ? chromium.executablePath() : null);
if (installed === null) throw new Error('no browser of the Chromium family was found; `npm test` installs one');
const served = await servePage(join(import.meta.dirname, 'page'), await sampleFiles());
// Without hints and subpixels of one screen's kind, letters have the same widths on every machine.
const browser = await chromium.launch({ executablePath: installed, args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking', '--font-render-hinting=none', '--disable-lcd-text', '--force-color-profile=srgb', '--hide-scrollbars'] });
const page = await browser.newPage({ locale: 'en-GB', timezoneId: 'UTC', reducedMotion: 'reduce' });
const screen = await page.context().newCDPSession(page);
const errors: string[] = [];
page.on('pageerror', (error) => errors.push(error.message));
page.on('console', (message) => {
  if (message.type() === 'warning' || message.type() === 'error') errors.push(message.text());
});
await page.goto(served.address);
await page.waitForFunction(() => 'gallery' in window);
const names = await page.evaluate(() => window.gallery.names);
const letters = await page.evaluate(() => window.gallery.specimen());

async function setScreen({ widthPx, heightPx, ratio, isPrint }: PictureScreen): Promise<void> {
  await screen.send('Emulation.setDeviceMetricsOverride', { width: widthPx, height: heightPx, deviceScaleFactor: ratio, mobile: false });
  // A ratio that is only emulated is asked for anew when another medium is: no picture depends on the scheme of the system.
  for (const colorScheme of ['dark', 'light'] as const) await page.emulateMedia({ media: isPrint ? 'print' : 'screen', colorScheme });
}

afterAll(async () => {
  await browser.close();
  await served.stop();
});

describe('the gallery', () => {
  it.each(names)('%s', async (name) => {
    errors.length = 0;
    const { widthPx, heightPx, ratio, isPrint } = await page.evaluate((one) => window.gallery.prepare(one), name);
    await setScreen({ widthPx, heightPx, ratio, isPrint });
    const geometry = await page.evaluate(() => window.gallery.show());
    const png = Buffer.from((await screen.send('Page.captureScreenshot', { format: 'png' })).data, 'base64');
    // A picture may not warn.
    expect(errors).toEqual([]);

    const stored = readStored(name);
    const isSameGeometry = stored.geometry === geometry;
    const apart = isSameGeometry && stored.png !== null && stored.letters === letters
      ? await page.evaluate(([before = '', after = '']) => window.gallery.compare(before, after), [stored.png.toString('base64'), png.toString('base64')])
      : null;
    const mostPixels = (widthPx * heightPx * ratio ** 2 * PIXELS_PER_MILLION) / 1e6;
    const isSame = isSameGeometry && stored.png !== null && (apart === null || (apart.isSameSize && apart.nPixels <= mostPixels));
    if (isSame) removeChanged(name);
    else writeChanged(name, geometry, packPng(png), letters);

    const words = 'look at it with `npm run gallery -- --show`, take it with `npm run gallery -- --accept`';
    if (stored.geometry === null || stored.png === null) expect.fail(`${name} is new: ${words}`);
    if (!isSameGeometry) expect.fail(`${name} is drawn otherwise: ${words}\n${differenceOf(stored.geometry, geometry)}`);
    if (apart !== null && !isSame) expect.fail(`${name} has the same geometry and ${apart.nPixels} other pixels, in ${JSON.stringify(apart.area)}: ${words}`);
  });

  // A window that is zoomed, or dragged to a screen of another kind, gets other device pixels while the case is open.
  it('is sharp at every pixel ratio, also when it changes while a case is open', async () => {
    await setScreen({ widthPx: 960, heightPx: 600, ratio: 1, isPrint: false });
    await page.evaluate(() => window.gallery.prepare('timeline-two-sites'));
    await page.evaluate(() => window.gallery.show());
    for (const ratio of [1.25, 1.5, 2, 1]) {
      await setScreen({ widthPx: 960, heightPx: 600, ratio, isPrint: false });
      expect(await page.evaluate(() => window.gallery.blurred()), `ratio ${ratio}`).toEqual([]);
    }
  });

  it('has a function for every stored picture', () => {
    expect(storedNames().filter((name) => !names.includes(name))).toEqual([]);
  });
});
