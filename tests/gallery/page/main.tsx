import { createRoot } from 'react-dom/client';
import type { Root } from 'react-dom/client';
import { recordCanvases } from './canvas-recorder.ts';
import { CHART_PICTURES } from './chart-pictures.tsx';
import { comparePixels } from './compare-pixels.ts';
import type { PixelDifference } from './compare-pixels.ts';
import { galleryCases } from './gallery-cases.ts';
import { MEETING_PICTURES } from './meeting-pictures.tsx';
import { geometryOf } from './geometry.ts';
import { SAMPLE_NAMES } from './picture.ts';
import type { DrawPicture, Picture, SampleName } from './picture.ts';
import { REPORT_PICTURES } from './report-pictures.tsx';
import { SITE_PICTURES } from './site-pictures.tsx';
import { specimenDigest } from './specimen.ts';
import { TIMELINE_PICTURES } from './timeline-pictures.tsx';
// Last, as in the window: where two sheets speak of one thing the window's own has the last word.
import '../../../renderer/styles/tokens.css';
import '../../../renderer/styles/base.css';
import '../../../renderer/styles/print.css';

const state: { root: Root | null; picture: Picture | null; heardRatio: number } = { root: null, picture: null, heardRatio: 0 };

/** What the screen has to be for a picture. */
export interface PictureScreen {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly ratio: number;
  readonly isPrint: boolean;
}

/** What the test drives the page with. */
export interface Gallery {
  readonly names: readonly string[];
  specimen(): Promise<string>;
  /** Takes the last picture away and says what screen the next one wants. */
  prepare(name: string): PictureScreen;
  /** Draws the prepared picture; resolves with its geometry when all of it is drawn. */
  show(): Promise<string>;
  /** Resolves with the canvases that have other pixels than the screen, once the page has heard of its ratio. */
  blurred(): Promise<string[]>;
  compare(before: string, after: string): Promise<PixelDifference>;
}

declare global {
  interface Window {
    gallery: Gallery;
  }
}

const groups = [TIMELINE_PICTURES, SITE_PICTURES, CHART_PICTURES, REPORT_PICTURES, MEETING_PICTURES];
const names = groups.flatMap((group) => Object.keys(group));
if (new Set(names).size < names.length) throw new Error('two pictures have one name');
const pictures = new Map<string, DrawPicture>(groups.flatMap((group) => Object.entries(group)));

function nextFrame(): Promise<void> {
  return new Promise((resolve) => {
    requestAnimationFrame(() => {
      resolve();
    });
  });
}

/** Waits until the page has heard of its pixel ratio: the plots ask for it once and are told of a change in a later frame. */
async function ratioHeard(): Promise<void> {
  for (let i = 0; state.heardRatio !== devicePixelRatio; i++) {
    // A frame comes only where something changed.
    document.documentElement.style.setProperty('--frame', String(i));
    await nextFrame();
  }
}

function hearRatio(): void {
  state.heardRatio = devicePixelRatio;
  matchMedia(`(min-resolution: ${devicePixelRatio - 0.001}dppx) and (max-resolution: ${devicePixelRatio + 0.001}dppx)`).addEventListener('change', hearRatio, { once: true });
}

/** Waits for the page's own sign on every timeline of the picture; two frames first, so that what was asked for is on its way. */
async function drawn(): Promise<void> {
  await nextFrame();
  await nextFrame();
  while (document.querySelector('.tl-root:not([data-drawn="true"])') !== null && document.querySelector('.tl-stage') !== null) await nextFrame();
  while (document.querySelector('.cs-overlay:not([data-drawn="true"])') !== null) await nextFrame();
}

function press(keys: string): void {
  const parts = keys.split('+');
  const element = document.querySelector('.tl-stage, .tl-tables');
  element?.dispatchEvent(new KeyboardEvent('keydown', { key: parts[parts.length - 1] ?? '', altKey: parts.includes('Alt'), bubbles: true, cancelable: true }));
}

recordCanvases();
await Promise.all(['400 12px Gallery', '700 12px Gallery', "400 12px 'DejaVu Sans Condensed'", "700 12px 'DejaVu Sans Condensed'"].map((font) => document.fonts.load(font)));
const samples = new Map<SampleName, Uint8Array>(await Promise.all(SAMPLE_NAMES.map(async (name) => [name, new Uint8Array(await (await fetch(`${name}.case`)).arrayBuffer())] as const)));
const cases = galleryCases(samples);
const page = document.getElementById('page');
if (page === null) throw new Error('no page element');

hearRatio();

window.gallery = {
  names,
  specimen: specimenDigest,
  prepare(name) {
    const draw = pictures.get(name);
    if (draw === undefined) throw new Error(`there is no picture ${name}`);
    state.root?.unmount();
    state.root = null;
    state.picture = draw(cases);
    const { widthPx = 960, heightPx = 600, ratio = 1, isPrint = false, theme = 'light' } = state.picture;
    document.documentElement.dataset['theme'] = theme;
    delete document.documentElement.dataset['printing'];
    return { widthPx, heightPx, ratio, isPrint };
  },
  async show() {
    const { picture } = state;
    if (picture === null) throw new Error('prepare a picture first');
    await ratioHeard();
    state.root = createRoot(page);
    state.root.render(picture.element);
    await drawn();
    if (picture.isPrint === true) {
      // What the window does when it is told to print.
      document.documentElement.dataset['printing'] = 'window';
      document.documentElement.dataset['theme'] = 'light';
      window.dispatchEvent(new Event('beforeprint'));
      await drawn();
    }
    for (const key of picture.keys ?? []) {
      press(key);
      await drawn();
    }
    return geometryOf(page);
  },
  async blurred() {
    await ratioHeard();
    await drawn();
    return [...document.querySelectorAll('canvas')]
      .map((canvas) => ({ canvas, drawn: canvas.getBoundingClientRect() }))
      .filter(({ canvas, drawn: { width, height } }) => Math.abs(canvas.width - width * devicePixelRatio) > 1 || Math.abs(canvas.height - height * devicePixelRatio) > 1)
      .map(({ canvas, drawn: { width } }) => `${canvas.className} ${canvas.width} for ${width} at ${devicePixelRatio}`);
  },
  compare: comparePixels,
};
