import { expect, test } from 'vitest';
import { filesBelow, readText } from './source-files.ts';

test('no test replaces a module where tests share their modules: it would be replaced for the others too, or for none', () => {
  const replacing = filesBelow('tests', /\.test\.tsx?$/).filter((file) => !file.startsWith('tests/integration/') && file !== 'tests/repo/shared-modules.test.ts' && /\bvi\.(do)?mock\(/i.test(readText(file)));
  expect(replacing).toEqual([]);
});
