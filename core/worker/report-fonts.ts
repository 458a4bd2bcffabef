import { readFile } from 'node:fs/promises';
import { create } from 'fontkit';
import { unbroken } from '../base/unbroken.ts';

/** The fonts that PDFs are set in. */
export interface ReportFonts {
  readonly plain: Buffer;
  readonly bold: Buffer;
  /** Whether a character can be shown. */
  readonly has: (sign: string) => boolean;
}

/**
 * Returns the fonts that lie beside this file, or beside the built worker. Embedded in part in every PDF; their licence lies with them.
 * Errors  rejects when a file is missing or damaged: our bug, or a broken installation.
 */
export async function readReportFonts(): Promise<ReportFonts> {
  const [plain, bold] = await Promise.all(['DejaVuSansCondensed.ttf', 'DejaVuSansCondensed-Bold.ttf'].map((name) => readFile(new URL(`./fonts/${name}`, import.meta.url)))) as [Buffer, Buffer]; // two names, two files
  const font = create(plain);
  return { plain, bold, has: (sign) => sign === '\n' || font.hasGlyphForCodePoint(sign.codePointAt(0) ?? 0) };
}

/** Stands where the fonts do not have a character. */
const NOT_IN_FONT = '\u25a1';

/** Text on its way into a file that has only its own fonts. */
export interface FontText {
  /** Text as the fonts can show it, a number on one line with its unit. */
  readonly shown: (text: string) => string;
  /** Characters that they did not have so far, each once, in order. */
  readonly notInFont: () => string;
}

/** Returns that, with nothing shown yet. */
export function fontText(fonts: Pick<ReportFonts, 'has'>): FontText {
  const missing = new Set<string>();
  return {
    shown: (text) => [...unbroken(text)].map((sign) => (fonts.has(sign) ? sign : (missing.add(sign), NOT_IN_FONT))).join(''),
    notInFont: () => [...missing].sort().join(''),
  };
}
