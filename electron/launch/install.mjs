/**
 * Brings node_modules to what package-lock.json says. Only Node builtins: it runs when nothing is installed.
 */
import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = dirname(dirname(dirname(fileURLToPath(import.meta.url))));
const STAMP = join(ROOT, 'node_modules', '.installed-from-lock');

/** Returns true when something had to be installed. */
export async function installMissing({ log = () => {} } = {}) {
  const digest = createHash('sha256').update(readFileSync(join(ROOT, 'package-lock.json'))).update(process.platform).update(process.arch).digest('hex');
  if (existsSync(STAMP) && readFileSync(STAMP, 'utf8') === digest) return false;
  log('installing what the lock file names (npm ci)');
  // A failed fetch of Electron's runtime must not stop the rest: without it the browser window is used.
  await run(npm(), ['ci', '--no-audit', '--no-fund', '--loglevel=error']);
  writeFileSync(STAMP, digest);
  return true;
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
