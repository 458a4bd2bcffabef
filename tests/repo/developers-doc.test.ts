import { existsSync } from 'node:fs';
import { dirname, join, normalize } from 'node:path';
import { describe, expect, test } from 'vitest';
import { ROOT, filesBelow, readText, repositoryFiles } from './source-files.ts';

const scripts = (JSON.parse(readText('package.json')) as { scripts: Record<string, string> }).scripts;
const DOCS = ['README.md', 'DEVELOPERS.md', ...filesBelow('docs', /\.md$/), ...filesBelow('sample-cases', /\.md$/)];

const FILES = repositoryFiles();

/** As a clone would see it: an empty folder on this disk is not there. */
function isThere(path: string): boolean {
  const plain = path.replace(/\/$/, '');
  return FILES.some((file) => file === plain || file.startsWith(`${plain}/`));
}

describe.each(DOCS)('%s', (file) => {
  const text = readText(file);

  test('links only to what is there', () => {
    const targets = [...text.matchAll(/\]\(([^)#\s]+)(?:#[^)]*)?\)/g)].map((match) => match[1] ?? '').filter((target) => !/^(https?:|mailto:)/.test(target));
    expect(targets.filter((target) => !isThere(normalize(join(dirname(file), target))))).toEqual([]);
  });

  test('names only paths of this repository that are there', () => {
    const named = [...text.matchAll(/`((?:core|electron|renderer|tests|docs|sample-cases)\/[\w./-]+)`/g)].map((match) => match[1] ?? '');
    expect(named.filter((path) => !isThere(path))).toEqual([]);
  });

  test('names only commands that package.json has', () => {
    const named = [...text.matchAll(/\bnpm run (?:--silent )?([\w:-]+)/g)].map((match) => match[1] ?? '');
    expect(named.filter((name) => !(name in scripts))).toEqual([]);
  });
});

test('DEVELOPERS.md stays short enough to be read', () => {
  expect(readText('DEVELOPERS.md').split('\n').length).toBeLessThan(200);
});

test('every script of package.json runs something that is there', () => {
  for (const [name, command] of Object.entries(scripts)) {
    for (const [, path] of command.matchAll(/\bnode ([\w./-]+)/g)) expect(existsSync(join(ROOT, path ?? '')), `${name}: ${path}`).toBe(true);
  }
});

test('the test projects that the page for developers names are those of the configuration', () => {
  const named = /--project property` \(([^)]+)\)/.exec(readText('DEVELOPERS.md'))?.[1]?.split(', ') ?? [];
  const configured = [...readText('vitest.config.ts').matchAll(/\bname: '([\w-]+)'/g)].map((match) => match[1]);
  expect([...named].sort()).toEqual([...configured].sort());
});
