/*
 * No golden case without a test: every method of every file of `tests/reference/golden-stats` is handed to `golden`, which
 * declares one test per case of it.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { goldenCases } from './golden-cases.ts';

const FIXTURES = new URL('../golden-stats/', import.meta.url);
const files = (folder: URL, end: string): string[] => readdirSync(folder).filter((name) => name.endsWith(end)).sort();
const SOURCES = files(new URL('.', import.meta.url), '.reference.test.ts').map((name) => readFileSync(new URL(name, import.meta.url), 'utf8'));

/** What a test file hands to `golden`, as `file: method`. Files stand in `goldenCases('…')`, at once or under a name; methods in quotes. */
function served(source: string): string[] {
  const byName = new Map([...source.matchAll(/const (\w+) = goldenCases\('([^']+)'\)/g)].map(([, name, file]) => [name, file]));
  return [...source.matchAll(/\bgolden\(\s*(?:goldenCases\('([^']+)'\)|(\w+)),\s*'([^']+)'/g)].map(([, file, name, method]) => `${file ?? byName.get(name) ?? name}: ${method}`);
}

function unserved(file: string, methods: readonly string[], sources: readonly string[]): string[] {
  const known = new Set(sources.flatMap(served));
  return [...new Set(methods)].filter((method) => !known.has(`${file}: ${method}`)).map((method) => `${file}: ${method}`);
}

it.each(files(FIXTURES, '.json'))('every case of %s is served by a test', (file) => {
  expect(unserved(file, goldenCases(file).map((one) => one.method), SOURCES)).toEqual([]);
});

it('a case that no test serves is found', () => {
  const source = "const X = goldenCases('x.json');\ngolden(X, 'one', f);\ngolden(\n  goldenCases('y.json'),\n  'two', f);";
  expect(unserved('x.json', ['one', 'two'], [source])).toEqual(['x.json: two']);
  expect(unserved('y.json', ['two'], [source])).toEqual([]);
});

it('ids are unique over all files', () => {
  const ids = files(FIXTURES, '.json').flatMap((file) => goldenCases(file).map((one) => one.id));
  expect(ids.filter((id, i) => ids.indexOf(id) !== i)).toEqual([]);
});
