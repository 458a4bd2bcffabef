import process from 'node:process';
import { chromium } from 'playwright-core';
import { findBrowser } from '../../electron/launch/find-browser.mjs';
import { serveHarness } from './harness/build.mjs';

const RUN_MS = 3000;
const REPEATS = 3;
/** More than of the rest: the first of them meets a browser that has compiled nothing yet. */
const FIRST_DRAWS = 9;
const CASES = [
  { name: 'ten-hour', words: '10 h at 1 Hz, 8 channels (36,000 points each)' },
  { name: 'hundred-thousand', words: '27.8 h at 1 Hz, 8 channels (100,000 points each)' },
  { name: 'one-lane', words: '3 h at 1 Hz, 1 lane' },
  { name: 'twenty-four-lanes', words: '3 h at 1 Hz, 24 lanes (10,800 points each)' },
];

function median(values) {
  return [...values].sort((a, b) => a - b)[(values.length - 1) >> 1] ?? NaN;
}

/** Measures the timeline on built data in a headless browser with software rendering, and returns the figures. */
export async function measureDrawing() {
  const executablePath = findBrowser();
  if (executablePath === null) throw new Error('no installed browser of the Chromium family was found');
  const harness = await serveHarness();
  const browser = await chromium.launch({ executablePath, args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking'] });
  const figures = [];
  try {
    for (const { name, words } of CASES) {
      const page = await browser.newPage({ viewport: { width: 1600, height: 1000 } });
      await page.goto(`${harness.address}?mount=no&strict=no&case=${name}`);
      await page.waitForFunction(() => 'harness' in window);
      const firstDraws = [];
      for (let i = 0; i < FIRST_DRAWS; i++) {
        await page.evaluate((caseName) => window.harness.prepare(caseName), name);
        firstDraws.push(await page.evaluate(() => window.harness.mount()));
        if (i < FIRST_DRAWS - 1) await page.evaluate(() => window.harness.unmount());
      }
      const pan = [];
      const zoom = [];
      const cursor = [];
      for (let i = 0; i < REPEATS; i++) {
        pan.push(await page.evaluate((ms) => window.harness.run('pan', ms), RUN_MS));
        zoom.push(await page.evaluate((ms) => window.harness.run('zoom', ms), RUN_MS));
        cursor.push(await page.evaluate((ms) => window.harness.run('cursor', ms), RUN_MS));
      }
      figures.push({ case: words, firstDrawMs: Math.round(median(firstDraws)), firstDrawsMs: firstDraws.map(Math.round), panPerSec: Math.round(median(pan)), zoomPerSec: Math.round(median(zoom)), cursorPerSec: Math.round(median(cursor)) });
      await page.close();
    }
    return { browser: browser.version(), viewport: '1600 × 1000', rendering: 'software', figures };
  } finally {
    await browser.close();
    await harness.stop();
  }
}

if (import.meta.filename === process.argv[1]) {
  const result = await measureDrawing();
  process.stdout.write(`Drawing, Chromium ${result.browser}, ${result.viewport}, ${result.rendering} rendering, first draws medians of ${FIRST_DRAWS}, the rest of ${REPEATS}\n`);
  for (const figure of result.figures) {
    process.stdout.write(`  ${figure.case}: first draw ${figure.firstDrawMs} ms (${figure.firstDrawsMs.join(', ')}), pan ${figure.panPerSec} frames/s, zoom ${figure.zoomPerSec} frames/s, cursor ${figure.cursorPerSec} frames/s\n`);
  }
}
