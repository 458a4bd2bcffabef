import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';

const RENDERER = fileURLToPath(new URL('../../renderer/', import.meta.url));

/** A presentation and its window fill the screen and have a scale of their own; what belongs to :root is the scale itself. */
const OUTSIDE_THE_WINDOW = /\.presenting\b|\.presenter-window\b|:root/;

/** Returns the declarations that use a length of the window without taking the window's scale out of it, as "selector: declaration". */
function undivided(css: string): string[] {
  return [...css.replaceAll(/\/\*[\s\S]*?\*\//g, '').matchAll(/([^{};]+)\{([^{}]*)\}/g)].flatMap(([, selector = '', body = '']) =>
    OUTSIDE_THE_WINDOW.test(selector) ? [] : body.split(';').filter((line) => /\d(vw|vh|vmin|vmax)\b/.test(line) && !line.includes('var(--window-scale')).map((line) => `${selector.trim()}: ${line.trim()}`),
  );
}

test('a length of the window in a style is divided by the scale that the window is drawn in: else it is too large on a large screen', () => {
  const sheets = readdirSync(RENDERER, { recursive: true, encoding: 'utf8' }).filter((path) => path.endsWith('.css'));
  expect(sheets.length).toBeGreaterThan(10);
  expect(sheets.flatMap((path) => undivided(readFileSync(join(RENDERER, path), 'utf8')).map((found) => `${path} ${found}`))).toEqual([]);
});

test('one that is not divided is found', () => {
  expect(undivided('/* 3vw */ .a { width: min(3px, 90vw); } .presenting { height: 100vh; } .b { height: calc(9vh / var(--window-scale)); }')).toEqual(['.a: width: min(3px, 90vw)']);
});
