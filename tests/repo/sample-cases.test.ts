import { readdir, readFile } from 'node:fs/promises';
import { join, relative, sep } from 'node:path';
import { expect, test } from 'vitest';
import { makeSamples } from '../../sample-cases/make.mjs';

const ROOT = join(import.meta.dirname, '..', '..', 'sample-cases');

async function filesBelow(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { recursive: true, withFileTypes: true });
  return entries.filter((e) => e.isFile()).map((e) => relative(ROOT, join(e.parentPath, e.name)).split(sep).join('/'));
}

test('running the sample script again gives the committed bytes, and no file beside them', async () => {
  const made = new Map(makeSamples());
  const onDisk = [...(await filesBelow(join(ROOT, 'cases'))), 'expected.json'].sort();
  expect(onDisk).toEqual([...made.keys()].sort());
  for (const [path, bytes] of made) {
    const committed = await readFile(join(ROOT, path));
    expect(committed.equals(bytes), `${path} differs; run npm run samples`).toBe(true);
  }
});

test('every folder of sample cases has its line in the README', async () => {
  const readme = await readFile(join(ROOT, 'README.md'), 'utf8');
  for (const folder of await readdir(join(ROOT, 'cases'))) expect(readme).toContain(`\`${folder}\``);
});

test('the sample cases stay small', () => {
  const total = makeSamples().reduce((sum, [, bytes]) => sum + bytes.length, 0);
  expect(total).toBeLessThan(6_000_000);
});
