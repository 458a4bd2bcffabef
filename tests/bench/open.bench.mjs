import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';
import { findBrowser } from '../../electron/launch/find-browser.mjs';

const root = fileURLToPath(new URL('../../', import.meta.url));
const RUNS = 7;

/** Returns the address of a workstation started over `library`, and what ends it. */
async function startWorkstation(library) {
  const child = spawn(process.execPath, [join(root, 'electron', 'launch', 'start.mjs'), '--browser', '--no-open', '--library', library], { stdio: ['ignore', 'pipe', 'inherit'] });
  const address = await new Promise((resolve, reject) => {
    let said = '';
    child.stdout.on('data', (chunk) => {
      said += chunk.toString();
      const found = /http:\/\/127\.0\.0\.1:\d+\/\S*/.exec(said);
      if (found !== null) resolve(found[0]);
    });
    child.on('exit', (code) => reject(new Error(`the workstation ended with ${code}: ${said}`)));
  });
  return {
    address,
    async stop() {
      const ended = once(child, 'exit');
      child.kill('SIGTERM');
      await ended;
    },
  };
}

/** Returns what every step of the hand costs on the trial of definitions, in ms: from the slider's event to the frame that shows the new list. */
async function measureDragging(page) {
  await page.keyboard.press('d');
  await page.getByRole('tab', { name: 'How much hangs on it' }).click();
  const slider = page.getByRole('slider').first();
  await slider.waitFor({ timeout: 60_000 });
  return await slider.evaluate(async (element) => {
    const setValue = Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, 'value').set;
    const frame = () => new Promise((resolve) => requestAnimationFrame(resolve));
    const times = [];
    for (const step of [...Array(Number(element.max) + 1).keys()]) {
      await frame();
      const begin = performance.now();
      setValue.call(element, String(step));
      element.dispatchEvent(new Event('input', { bubbles: true }));
      // The work and React's commit are over when the next frame begins; the frame itself is the browser's.
      await frame();
      times.push(performance.now() - begin);
    }
    return times;
  });
}

/**
 * Imports the case in `caseFolder` through the window and times opening it, in ms: from the click in the library to the
 * frame after the timeline says that it is drawn. Timed inside the page; the first opening is a warm-up and not counted.
 */
export async function measureOpening(caseFolder, library) {
  const executablePath = findBrowser();
  if (executablePath === null) throw new Error('no installed browser of the Chromium family was found');
  const workstation = await startWorkstation(library);
  const browser = await chromium.launch({ executablePath, args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking'] });
  try {
    const page = await browser.newPage({ viewport: { width: 1600, height: 1000 } });
    await page.goto(workstation.address);
    await page.getByRole('button', { name: 'Import records…' }).click();
    await page.locator('input[type=file][webkitdirectory]').setInputFiles(caseFolder);
    await page.getByRole('button', { name: /^Open/ }).first().waitFor({ timeout: 60_000 });
    const timesMs = [];
    for (let i = 0; i <= RUNS; i += 1) {
      await page.keyboard.press('l');
      const line = page.getByText('ten-hours', { exact: true }).first();
      await line.waitFor();
      const ms = await line.evaluate(
        (element) =>
          new Promise((resolve, reject) => {
            const begin = performance.now();
            const look = () => {
              if (performance.now() - begin > 30_000) reject(new Error('the timeline was not drawn within 30 s'));
              else if (document.querySelector('.tl-root[data-drawn="true"]') === null) requestAnimationFrame(look);
              else requestAnimationFrame(() => resolve(performance.now() - begin));
            };
            element.click();
            requestAnimationFrame(look);
          }),
      );
      if (i > 0) timesMs.push(ms);
    }
    return { timesMs, dragMs: await measureDragging(page), browser: browser.version() };
  } finally {
    await browser.close();
    await workstation.stop();
  }
}
