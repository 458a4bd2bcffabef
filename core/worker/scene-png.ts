import { initWasm, Resvg } from '@resvg/resvg-wasm';
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { PICTURE_PIXELS } from '../model/deck.ts';
import type { ReportFonts } from './report-fonts.ts';

/** Starts the WebAssembly module where it does not run yet: it can be started once in a thread, and keeps that to itself. */
async function start(): Promise<void> {
  if (isRunning()) return;
  const bytes = await readFile(createRequire(import.meta.url).resolve('@resvg/resvg-wasm/index_bg.wasm'));
  // Another picture may have started it meanwhile.
  if (!isRunning()) await initWasm(bytes).catch((error: unknown) => {
    if (!isRunning()) throw error;
  });
}

function isRunning(): boolean {
  try {
    new Resvg('<svg xmlns="http://www.w3.org/2000/svg" width="1" height="1"/>').free();
    return true;
  } catch {
    return false; // this is how it says so
  }
}

/**
 * Returns an SVG as PNG, so many pixels wide, in the fonts that the PDF embeds; nothing is taken from the machine.
 * Shape   the same text gives the same bytes. Errors  rejects when the text is no SVG (our bug).
 */
export async function svgPng(svg: string, fonts: ReportFonts, pixels = PICTURE_PIXELS): Promise<Uint8Array<ArrayBuffer>> {
  await start();
  const picture = new Resvg(svg, {
    fitTo: { mode: 'width', value: pixels },
    background: '#ffffff',
    font: { fontBuffers: [fonts.plain, fonts.bold], defaultFontFamily: 'DejaVu Sans Condensed', sansSerifFamily: 'DejaVu Sans Condensed', loadSystemFonts: false },
  });
  try {
    const rendered = picture.render();
    try {
      return new Uint8Array(rendered.asPng());
    } finally {
      rendered.free();
    }
  } finally {
    picture.free();
  }
}
