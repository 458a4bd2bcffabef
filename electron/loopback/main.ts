import { fileURLToPath } from 'node:url';
import { toFailure } from '../../core/protocol/failure-error.ts';
import { findBrowser } from '../launch/find-browser.mjs';
import { noKeyStore } from '../store/key-store.ts';
import { startLibraryHost } from '../store/start-library-host.ts';
import { openBrowserWindow } from './browser-window.ts';
import { startServer } from './server.ts';

export interface LoopbackOptions {
  /** A folder, or the file of an encrypted library; null: the user's own library. */
  readonly libraryFolder: string | null;
  /** Idle minutes after which an encrypted library is locked, in place of its own; 0: never; null: its own. */
  readonly lockAfterMinutes: number | null;
  /** 0: any free one. */
  readonly port: number;
  /** Whether a window may be opened; otherwise only the address is printed. */
  readonly mayOpen: boolean;
  /** Why the browser is used, for the line that says so. */
  readonly why: string;
}

/** Runs the workstation in browser window mode until the window is closed or a signal comes; returns the exit code. */
export async function runLoopback(options: LoopbackOptions): Promise<number> {
  const root = new URL('../../', import.meta.url); // from dist/loopback/
  const say = (line: string): void => void process.stdout.write(`${line}\n`);
  const report = (error: unknown): void => void process.stderr.write(`${error instanceof Error ? (error.stack ?? error.message) : String(error)}\n`);
  const stop = stopSignal();
  try {
    const host = await startLibraryHost({ library: options.libraryFolder, lockAfterMinutes: options.lockAfterMinutes, door: 'browser', keyStore: noKeyStore('A browser window cannot reach the system’s key store: the passphrase is typed at every start. The desktop window can, where the system has one.'), root }, report);
    const server = await startServer({ host, pageFolder: fileURLToPath(new URL('dist/page/', root)), port: options.port, reportBug: report }).catch(async (error: unknown) => {
      await host.close();
      throw error;
    });
    const browser = options.mayOpen ? findBrowser() : null;
    const window = browser === null ? null : await openBrowserWindow(browser, server.issueEntry());
    if (window === null) {
      say(`Lacuna runs in a browser (${options.why}). Open this address on this machine: ${server.address}`);
      await stop;
    } else {
      say(`Lacuna runs in a browser window (${options.why}). Close the window to end it.`);
      const hasShown = await Promise.race([window.closed, stop.then(() => true)]);
      if (!hasShown) {
        say(`The browser did not open a window. Open this address on this machine: ${server.address}`);
        await stop;
      }
      await window.close();
    }
    await server.close();
    await host.close();
    return 0;
  } catch (error) {
    const failure = toFailure(error);
    if (failure.code === 'internal') report(error);
    else process.stderr.write(`${[failure.message, failure.remedy].filter(Boolean).join(' ')}\n`);
    return 1;
  }
}

/** Resolves at the first Ctrl-C or request to end; a second one ends the program at once. */
function stopSignal(): Promise<void> {
  return new Promise((resolve) => {
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) {
      process.once(signal, () => {
        process.once(signal, () => process.exit(130));
        resolve();
      });
    }
  });
}
