/**
 * `npm start`: installs what is missing, builds what is stale, opens the workstation.
 * Only Node builtins are imported before the installation.
 */
import { spawn } from 'node:child_process';
import { resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { installMissing } from './install.mjs';

const HELP = `Opens the workstation: in Electron where its runtime and a display are there, else in a browser window.

  npm start -- [--browser] [--library DIR|FILE] [--lock-after N] [--port N] [--no-open]

  --browser       use a browser window even where Electron is there
  --library DIR   use the library in DIR (made when it is not there), not the one that was used last
  --library FILE  use the encrypted library FILE.lacuna; the window asks for its passphrase
  --lock-after N  lock an encrypted library after N idle minutes, whatever is set in it (0: never)
  --port N        port of the local server in browser mode (default: any free one)
  --no-open       browser mode: print the address and open no window
`;

const log = (line) => process.stderr.write(`${line}\n`);

function readOptions() {
  try {
    return parseArgs({
      options: {
        'browser': { type: 'boolean', default: false },
        'library': { type: 'string' },
        'port': { type: 'string', default: '0' },
        'lock-after': { type: 'string' },
        'no-open': { type: 'boolean', default: false },
        'help': { type: 'boolean', short: 'h', default: false },
      },
    }).values;
  } catch (error) {
    log(error.message);
    log(HELP);
    process.exit(2);
  }
}

const options = readOptions();
if (options.help) {
  process.stdout.write(HELP);
  process.exit(0);
}
const port = Number(options.port);
if (!Number.isInteger(port) || port < 0 || port > 65_535) {
  log(`--port takes a number from 0 to 65535, not "${options.port}".`);
  process.exit(2);
}
const lockAfterMinutes = options['lock-after'] === undefined ? null : Number(options['lock-after']);
if (lockAfterMinutes !== null && !(lockAfterMinutes >= 0 && lockAfterMinutes <= 1440)) {
  log(`--lock-after takes a number of minutes from 0 to 1440, not "${options['lock-after']}".`);
  process.exit(2);
}
if (Number(process.versions.node.split('.')[0]) < 20) {
  log(`Node 20 or later is needed; this is ${process.versions.node}.`);
  process.exit(2);
}

try {
  await installMissing({ log });
  const { build } = await import('./build.mjs');
  await build({ log });
} catch (error) {
  log(`Could not get ready: ${error.message}`);
  process.exit(1);
}

const { findElectron, hasDisplay } = await import('./find-electron.mjs');
const electron = findElectron();
const whyNotElectron = reasonForBrowser();
if (whyNotElectron === null) {
  log('Opening the workstation in Electron.');
  const outcome = await runElectron(electron);
  if (outcome.hasRun) process.exitCode = outcome.code;
  else await runBrowser(`Electron did not start here (exit code ${outcome.code})`);
} else {
  await runBrowser(whyNotElectron);
}

/** Returns why the browser window is used, or null where Electron can be. */
function reasonForBrowser() {
  if (options.browser) return 'as asked for';
  if (options['no-open']) return 'no window is to be opened';
  if (electron === null) return 'Electron’s runtime is not installed here';
  if (!hasDisplay()) return 'there is no display';
  // Its sandbox refuses to work for root, and the sandbox is not given up.
  if (process.platform === 'linux' && process.getuid() === 0) return 'Electron does not run as root';
  return null;
}

async function runBrowser(why) {
  const { runLoopback } = await import('../../dist/loopback/main.js');
  process.exitCode = await runLoopback({ libraryFolder: options.library ?? null, port, lockAfterMinutes, mayOpen: !options['no-open'] && hasDisplay(), why });
}

/** Runs Electron to its end; a runtime that fails within seconds has not run (missing system libraries, no sandbox). */
function runElectron(program) {
  const root = fileURLToPath(new URL('../../', import.meta.url));
  const startedAt = performance.now();
  const child = spawn(program, [root, ...(options.library === undefined ? [] : [`--library=${resolve(options.library)}`]), ...(lockAfterMinutes === null ? [] : [`--lock-after=${lockAfterMinutes}`])], { stdio: 'inherit' });
  for (const signal of ['SIGINT', 'SIGTERM']) process.on(signal, () => child.kill(signal));
  return new Promise((done) => {
    child.on('error', (error) => done({ hasRun: false, code: error.code }));
    child.on('exit', (code) => done({ hasRun: code === 0 || performance.now() - startedAt > 5000, code: code ?? 1 }));
  });
}
