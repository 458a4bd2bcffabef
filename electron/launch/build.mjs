/**
 * Builds dist/ from the sources: the node-side programs with rolldown, the page with vite.
 * A target whose inputs have the digest of its last build is left alone, so a second start costs milliseconds.
 * Plain JavaScript and Node builtins at the top, because it must run before anything is built.
 */
import { createHash } from 'node:crypto';
import { cpSync, existsSync, readFileSync, readdirSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { basename, dirname, join, relative, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { HELP_INPUTS } from './help-contents.mjs';

export const ROOT = dirname(dirname(dirname(fileURLToPath(import.meta.url))));

/** Node-side programs. `inputs` are the folders whose content decides whether the target is stale; `beside` is a folder that goes with the program. */
const NODE_TARGETS = [
  { name: 'worker', entry: 'core/worker/analysis.worker.ts', out: 'dist/worker/analysis.worker.js', format: 'esm', inputs: ['core'], beside: 'core/worker/fonts' },
  { name: 'headless', entry: 'electron/headless/main.ts', out: 'dist/headless/main.js', format: 'esm', inputs: ['core', 'electron/headless', 'electron/host', 'electron/store'] },
  { name: 'loopback', entry: 'electron/loopback/main.ts', out: 'dist/loopback/main.js', format: 'esm', inputs: ['core', 'electron/loopback', 'electron/host', 'electron/store'] },
  { name: 'desktop', entry: 'electron/desktop/main.ts', out: 'dist/desktop/main.js', format: 'esm', inputs: ['core', 'electron/desktop', 'electron/host', 'electron/store'] },
  { name: 'preload', entry: 'electron/preload/preload.ts', out: 'dist/preload/preload.cjs', format: 'cjs', inputs: ['core/protocol', 'electron/preload'] },
];
const PAGE_TARGET = { name: 'page', entry: 'renderer/index.html', out: 'dist/page/index.html', inputs: ['core', 'renderer', ...HELP_INPUTS] };

/** Returns the names of the targets that were built; the others were up to date. */
export async function build({ log = () => {}, force = false } = {}) {
  const shared = digestOf(['package-lock.json', 'electron/launch/build.mjs', 'electron/launch/drawn-text.mjs', 'electron/launch/help-contents.mjs', 'electron/launch/help-pages.mjs']);
  const built = [];
  for (const target of [...NODE_TARGETS, PAGE_TARGET]) {
    if (!existsSync(join(ROOT, target.entry))) throw new Error(`cannot build ${target.name}: ${target.entry} is missing`);
    const stampPath = join(ROOT, 'dist', `${target.name}.stamp`);
    const stamp = digestOf(target.inputs, shared);
    if (!force && existsSync(join(ROOT, target.out)) && existsSync(stampPath) && readFileSync(stampPath, 'utf8') === stamp) continue;
    rmSync(stampPath, { force: true });
    log(`building ${target.name}`);
    await buildBeside(target);
    writeFileSync(stampPath, stamp);
    built.push(target.name);
  }
  return built;
}

/** Builds into a folder beside and swaps it in when it is whole, so that a failed build leaves the last good one. */
async function buildBeside(target) {
  const folder = dirname(join(ROOT, target.out));
  const beside = `${folder}.${process.pid}.new`;
  try {
    if (target === PAGE_TARGET) await buildPage(beside);
    else await buildProgram(target, join(beside, basename(target.out)));
    if (target.beside !== undefined) cpSync(join(ROOT, target.beside), join(beside, basename(target.beside)), { recursive: true });
    rmSync(folder, { recursive: true, force: true });
    renameSync(beside, folder);
  } finally {
    rmSync(beside, { recursive: true, force: true });
  }
}

async function buildProgram(target, outFile) {
  const { rolldown } = await import('rolldown');
  const bundle = await rolldown({
    input: join(ROOT, target.entry),
    platform: 'node',
    // Electron gives itself; the other is found in node_modules with its native part.
    external: ['electron', 'libsql'],
    tsconfig: false,
    onLog(level, log, next) {
      if (level === 'warn' && log.code === 'UNRESOLVED_IMPORT') throw new Error(log.message);
      next(level, log);
    },
  });
  await bundle.write({ file: outFile, format: target.format, sourcemap: true, codeSplitting: false });
  await bundle.close();
}

async function buildPage(outDir) {
  const { build: viteBuild } = await import('vite');
  const { default: react } = await import('@vitejs/plugin-react');
  const { drawnTextPlugin } = await import('./drawn-text.mjs');
  const { helpPagesPlugin } = await import('./help-pages.mjs');
  // A test runner that builds first has set its own; the page must not depend on who builds it.
  const environment = process.env.NODE_ENV;
  process.env.NODE_ENV = 'production';
  try {
    await viteBuild({
      configFile: false,
      root: join(ROOT, 'renderer'),
      base: './',
      mode: 'production',
      logLevel: 'warn',
      plugins: [react(), drawnTextPlugin(ROOT), helpPagesPlugin(ROOT)],
      // No inlined assets: the page's content security policy allows files of its own only.
      build: { outDir, emptyOutDir: true, rolldownOptions: { checks: { pluginTimings: false } }, chunkSizeWarningLimit: 2000, target: 'es2022', assetsInlineLimit: 0, modulePreload: { polyfill: false }, sourcemap: false },
    });
  } finally {
    if (environment === undefined) delete process.env.NODE_ENV;
    else process.env.NODE_ENV = environment;
  }
}

/** Returns a digest over names and content of every file below the given paths. */
function digestOf(paths, salt = '') {
  const hash = createHash('sha256').update(salt).update(process.versions.node.split('.')[0]);
  for (const path of paths) for (const file of filesBelow(join(ROOT, path))) hash.update(relative(ROOT, file).split(sep).join('/')).update('\0').update(readFileSync(file)).update('\0');
  return hash.digest('hex');
}

function filesBelow(path) {
  if (!existsSync(path)) return [];
  let entries;
  try {
    entries = readdirSync(path, { withFileTypes: true });
  } catch (error) {
    if (error.code === 'ENOTDIR') return [path];
    throw error;
  }
  return entries
    .sort((a, b) => (a.name < b.name ? -1 : 1))
    .flatMap((entry) => (entry.isDirectory() ? filesBelow(join(path, entry.name)) : entry.isFile() ? [join(path, entry.name)] : []));
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const built = await build({ log: (line) => process.stderr.write(`${line}\n`), force: process.argv.includes('--force') });
  process.stderr.write(built.length === 0 ? 'everything is up to date\n' : `built: ${built.join(', ')}\n`);
}
