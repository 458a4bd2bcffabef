/**
 * Brings node_modules to what package-lock.json says. Only Node builtins: it runs when nothing is installed.
 */
import { spawn } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = dirname(dirname(dirname(fileURLToPath(import.meta.url))));

/** Returns true when something had to be installed. */
export async function installMissing({ log = () => {} } = {}) {
  if (isInstalled(ROOT)) return false;
  log('installing what the lock file names (npm ci)');
  await run(npm(), ['ci', '--no-audit', '--no-fund', '--loglevel=error']);
  return true;
}

/**
 * Returns whether node_modules holds what package-lock.json names, whoever installed it. npm writes its own list
 * (node_modules/.package-lock.json) as the last step of an installation, so an interrupted one has none.
 */
export function isInstalled(root) {
  const wanted = packagesIn(join(root, 'package-lock.json'));
  const found = packagesIn(join(root, 'node_modules', '.package-lock.json'));
  if (wanted === null || found === null) return false;
  return Object.entries(wanted).every(([path, entry]) => {
    if (path === '') return true;
    const own = found[path];
    // What is optional may be missing: it is for another platform.
    if (own === undefined) return entry.optional === true || entry.devOptional === true;
    return own.version === entry.version && own.integrity === entry.integrity && existsSync(join(root, path, 'package.json'));
  });
}

function packagesIn(lockFile) {
  try {
    return JSON.parse(readFileSync(lockFile, 'utf8')).packages;
  } catch {
    return null; // not there, or cut short: to be installed
  }
}

/** npm itself says where it lies when it runs us; a shell is needed only for npm.cmd on Windows. */
function npm() {
  const own = process.env.npm_execpath;
  if (own && /npm-cli\.[cm]?js$/.test(own)) return { file: process.execPath, first: [own], shell: false };
  return process.platform === 'win32' ? { file: 'npm.cmd', first: [], shell: true } : { file: 'npm', first: [], shell: false };
}

function run(program, args) {
  return new Promise((resolve, reject) => {
    // Standard output belongs to the program that is started afterwards.
    const child = spawn(program.file, [...program.first, ...args], { cwd: ROOT, stdio: ['ignore', process.stderr, process.stderr], shell: program.shell });
    child.on('error', reject);
    child.on('exit', (code) => (code === 0 ? resolve() : reject(new Error(`npm ci failed (exit code ${code}); its messages stand above`))));
  });
}
