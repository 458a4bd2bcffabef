import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';

const RENDERER = fileURLToPath(new URL('../../renderer/', import.meta.url));

const read = (ending: string): string[] => readdirSync(RENDERER, { recursive: true, encoding: 'utf8' }).filter((path) => path.endsWith(ending)).map((path) => readFileSync(join(RENDERER, path), 'utf8'));

/** Returns the classes that tables bear in the source, by the words written there. */
function tableClasses(source: string): string[] {
  return [...source.matchAll(/<table\b[^>]*?className="([^"]+)"/g)].flatMap(([, names = '']) => names.split(/\s+/));
}

/** Styles that make a table: its lines, its headings on the side of their figures. */
const BASES = new Set(['plain-table', 'grid', 'sums', 'help-table', 'mapping-table', 'tl-table']);

test('a table bears a style that makes one: without, it stands in the browser’s own, centred and without lines', () => {
  const tags = read('.tsx').flatMap((source) => [...source.matchAll(/<table\b[^>]*className="[^>]*>/g)].map(([tag]) => tag));
  expect(tags.length).toBeGreaterThan(20);
  expect(tags.filter((tag) => !tableClasses(tag).some((name) => BASES.has(name)))).toEqual([]);
});

test('the classes of a table are found', () => {
  expect(tableClasses('<table className="plain-table stories"><tbody className="x">')).toEqual(['plain-table', 'stories']);
});
