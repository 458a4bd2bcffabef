import { expect, test } from 'vitest';
import { readText, repositoryFiles } from './source-files.ts';

/** Files whose bytes are not text of ours. */
const BINARY = /\.(png|jpg|gif|ico|woff2|parquet|gz|zip|xlsx|case|lacuna|ttf)$/;

/*
 * What a stranger who clones the repository must not find. Kept general: each rule says what kind of thing it looks for.
 * This file spells the words in pieces, or it would find itself.
 */
const RULES: readonly { readonly what: string; readonly find: RegExp; readonly except?: RegExp }[] = [
  { what: 'a path of one machine', find: /(^|[\s"'`(=:])\/(work|tmp|root|home\/[a-z]|Users\/[A-Za-z]|mnt)\/[\w.-]/ },
  { what: 'the address of a package registry', find: new RegExp(`registry\\.${'npm'}js|registry\\.yarn${'pkg'}|"resol${'ved"'}\\s*:`) },
  { what: 'an address inside a private network', find: /\b(10\.\d{1,3}\.\d{1,3}\.\d{1,3}|192\.168\.\d{1,3}\.\d{1,3})\b/ },
  { what: 'a key or a password', find: /-----BEGIN [A-Z ]*PRIVATE KEY|\bghp_\w{20}|\bAKIA[0-9A-Z]{16}/ },
  { what: 'words about how the text came to be', find: new RegExp(`\\b(seed doc${'ument'}|language mo${'del'}|chat${'bot'}|prompt enginee${'ring'}|co-authored-${'by'})\\b`, 'i') },
  { what: 'a conflict mark', find: /^(<{7}|>{7}) / },
];

test('no file holds what belongs to one machine, one registry or one writer', () => {
  const found: string[] = [];
  for (const file of repositoryFiles()) {
    if (BINARY.test(file)) continue;
    const lines = readText(file).split('\n');
    for (const rule of RULES) {
      if (rule.except?.test(file) === true) continue;
      lines.forEach((line, i) => {
        if (rule.find.test(line)) found.push(`${file}:${i + 1} has ${rule.what}: ${line.trim().slice(0, 120)}`);
      });
    }
  }
  expect(found).toEqual([]);
});

test('the rules find what they are for', () => {
  const planted = [`see /${'work'}/main`, `"resol${'ved'}": "x"`, `https://registry.${'npm'}js.org`, `192.168.${'0.12'}`, `a seed doc${'ument'}`, `${'<'.repeat(7)} HEAD`];
  for (const text of planted) expect(RULES.some((rule) => rule.find.test(text)), text).toBe(true);
});

test('exact versions stand in package.json', () => {
  const { dependencies, devDependencies } = JSON.parse(readText('package.json')) as Record<'dependencies' | 'devDependencies', Record<string, string>>;
  const loose = Object.entries({ ...dependencies, ...devDependencies }).filter(([, version]) => !/^\d+\.\d+\.\d+$/.test(version));
  expect(loose).toEqual([]);
});
