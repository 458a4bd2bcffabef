/**
 * `npm run screens [-- WORDS...]`: builds the window and walks through every screen, or through the walks whose title holds the words;
 * pictures and what a measure of the page finds go to `screens/`, which git ignores. They are there to be looked at, one by one.
 * `npm run screens -- --since FOLDER`: which pictures are not, byte for byte, those of an earlier `screens/`: after a change only these
 * have to be looked at again. Where a screen tells the time of today or a new key, it differs although nothing has changed.
 */
import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync, readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';

const ROOT = join(import.meta.dirname, '..', '..');
const say = (line) => process.stdout.write(`${line}\n`);
const { values, positionals } = parseArgs({ options: { since: { type: 'string' } }, allowPositionals: true });

if (values.since === undefined) walk();
else compare(values.since);

function walk() {
  const run = (file, args) => spawnSync(process.execPath, [join(ROOT, file), ...args], { cwd: ROOT, stdio: 'inherit' }).status ?? 1;
  const built = run('electron/launch/build.mjs', []);
  // A walk adds its lines; those of areas that are walked now are not to stand below those of an earlier run.
  for (const area of existsSync(join(ROOT, 'screens')) ? readdirSync(join(ROOT, 'screens')) : []) if (positionals.length === 0 || positionals.includes(area)) rmSync(join(ROOT, 'screens', area, 'findings.txt'), { force: true });
  const chosen = positionals.length === 0 ? [] : ['--grep', positionals.join(' ')];
  process.exitCode = built !== 0 ? built : run('node_modules/@playwright/test/cli.js', ['test', '--config', 'tests/screens/playwright.config.ts', ...chosen]);
}

function compare(earlier) {
  const now = join(ROOT, 'screens');
  const pictures = existsSync(now) ? readdirSync(now, { recursive: true }).filter((path) => path.endsWith('.png')).sort() : [];
  const unlike = pictures.filter((path) => !existsSync(join(earlier, path)) || !readFileSync(join(earlier, path)).equals(readFileSync(join(now, path))));
  for (const path of unlike) say(`${existsSync(join(earlier, path)) ? 'changed' : 'new    '} ${path}`);
  say(`${unlike.length} of ${pictures.length} pictures are not as they were`);
}
