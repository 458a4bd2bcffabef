/**
 * `npm test`: installs what is missing, then runs every kind of test.
 * Last line: `N passed, N failed, N skipped`; the exit code is 0 only when nothing failed.
 * Only Node builtins are imported before the installation.
 */
import { spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { findBrowser } from '../electron/launch/find-browser.mjs';
import { installMissing } from '../electron/launch/install.mjs';

const ROOT = dirname(dirname(fileURLToPath(import.meta.url)));
const say = (line) => process.stdout.write(`${line}\n`);
const reports = mkdtempSync(join(tmpdir(), 'lacuna-test-'));
const total = { passed: 0, failed: 0, skipped: 0 };

try {
  await installMissing({ log: say });
  await installBrowser();
  // Each of the two fills one processor for minutes and prints only what it finds.
  await Promise.all([
    step('type check', () => runAll(['core', 'electron', 'renderer', 'tests'].map((folder) => bin('typescript', 'bin/tsc', ['-p', folder])))),
    step('lint', () => runAll([bin('eslint', 'bin/eslint.js', ['.', '--max-warnings', '0'])])),
  ]);
  await step('build', () => runAll([[process.execPath, [join(ROOT, 'electron/launch/build.mjs')]]]));
  await tests('unit, property, reference, contract, integration and repository tests', join(reports, 'vitest.json'), countVitest, (report) =>
    run(...bin('vitest', 'vitest.mjs', ['run', '--reporter=default', '--reporter=json', `--outputFile.json=${report}`])),
  );
  await tests('end-to-end tests', join(reports, 'e2e.json'), countPlaywright, (report) =>
    run(...bin('@playwright/test', 'cli.js', ['test', '--config', 'tests/e2e/playwright.config.ts']), { LACUNA_E2E_REPORT: report }),
  );
} catch (error) {
  say(`The tests could not be run: ${error.message}`);
  total.failed += 1;
} finally {
  rmSync(reports, { recursive: true, force: true });
}
say(`${total.passed} passed, ${total.failed} failed, ${total.skipped} skipped`);
process.exitCode = total.failed === 0 ? 0 : 1;

/** One step that passes or fails as a whole. */
async function step(name, work) {
  say(`\n== ${name}`);
  const code = await work();
  total[code === 0 ? 'passed' : 'failed'] += 1;
  if (code !== 0) say(`${name}: failed (exit code ${code})`);
}

/** A runner that writes a report; a run that fails without a failed test in it (it could not start) counts as one failure. */
async function tests(name, report, count, work) {
  say(`\n== ${name}`);
  const code = await work(report);
  const found = existsSync(report) ? count(JSON.parse(readFileSync(report, 'utf8'))) : { passed: 0, failed: 0, skipped: 0 };
  if (code !== 0 && found.failed === 0) found.failed = 1;
  if (code === 0 && found.passed === 0) {
    say(`${name}: not one test ran`);
    found.failed = 1;
  }
  for (const key of Object.keys(total)) total[key] += found[key];
}

function countVitest(report) {
  return { passed: report.numPassedTests, failed: report.numFailedTests, skipped: report.numPendingTests + report.numTodoTests };
}

function countPlaywright({ stats }) {
  return { passed: stats.expected + stats.flaky, failed: stats.unexpected, skipped: stats.skipped };
}

async function runAll(commands) {
  let worst = 0;
  for (const [file, args] of commands) worst = Math.max(worst, await run(file, args));
  return worst;
}

/** Returns the command that runs a package's own program, without a shell in between. */
function bin(name, path, args) {
  return [process.execPath, [join(ROOT, 'node_modules', name, path), ...args]];
}

function run(file, args, env = {}) {
  return new Promise((resolve, reject) => {
    const child = spawn(file, args, { cwd: ROOT, stdio: ['ignore', 'inherit', 'inherit'], env: { ...process.env, ...env } });
    child.on('error', reject);
    child.on('exit', (code) => resolve(code ?? 1));
  });
}

/** An installed browser of the Chromium family, else Debian's package where we are root, else the one Playwright fetches. */
async function installBrowser() {
  if (findBrowser() !== null) return;
  const isRootOnDebian = process.getuid?.() === 0 && spawnSync('apt-get', ['--version'], { stdio: 'ignore' }).status === 0;
  if (isRootOnDebian) {
    say('installing a browser for the end-to-end tests (Debian package chromium)');
    const env = { DEBIAN_FRONTEND: 'noninteractive' };
    await run('apt-get', ['update', '-qq'], env);
    await run('apt-get', ['install', '-y', '-qq', '--no-install-recommends', 'chromium', 'fonts-dejavu-core'], env);
    if (findBrowser() !== null) return;
  }
  say('fetching a browser for the end-to-end tests (playwright install chromium)');
  const code = await run(...bin('@playwright/test', 'cli.js', ['install', 'chromium']));
  if (code !== 0) say('No browser could be fetched; the end-to-end tests will fail. LACUNA_BROWSER can name an installed one.');
}
