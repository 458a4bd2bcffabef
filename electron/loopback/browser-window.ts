import { spawn } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** A window that closes sooner than this was never opened. */
const OPENED_AFTER_MS = 3000;

/** A browser that shows nothing but the workstation. */
export interface BrowserWindow {
  /** Resolves when the user closed the window: true; or false when the browser ended without showing one. */
  readonly closed: Promise<boolean>;
  close(): Promise<void>;
}

/** Opens `address` as an app window of an installed browser, in a profile of its own that is removed afterwards. */
export async function openBrowserWindow(browser: string, address: string): Promise<BrowserWindow> {
  const profile = await mkdtemp(join(tmpdir(), 'lacuna-window-'));
  const startedAt = performance.now();
  const child = spawn(browser, browserArguments(address, profile, process.getuid?.() === 0), { stdio: 'ignore' });
  const ended = new Promise<void>((resolve) => {
    child.on('exit', () => resolve());
    child.on('error', () => resolve()); // it could not be started: told below by the time it took
  });
  const closed = ended.then(async () => {
    await rm(profile, { recursive: true, force: true, maxRetries: 5 }).catch(() => undefined); // the system's own tidying gets what is left
    return performance.now() - startedAt > OPENED_AFTER_MS;
  });
  return {
    closed,
    async close() {
      child.kill();
      await closed;
    },
  };
}

/** Returns the browser's arguments: one window, no contact with anyone but our server. As root its sandbox cannot work. */
export function browserArguments(address: string, profile: string, isRoot: boolean): string[] {
  return [
    `--app=${address}`,
    `--user-data-dir=${profile}`,
    '--no-first-run',
    '--no-default-browser-check',
    '--disable-background-networking',
    '--disable-component-update',
    '--disable-default-apps',
    '--disable-domain-reliability',
    '--disable-extensions',
    '--disable-sync',
    '--disable-features=Translate,MediaRouter,OptimizationHints',
    '--metrics-recording-only',
    '--no-pings',
    '--password-store=basic',
    '--window-size=1500,950',
    ...(isRoot ? ['--no-sandbox'] : []),
  ];
}
