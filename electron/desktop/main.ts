import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { BrowserWindow, Menu, app, dialog, ipcMain, protocol, safeStorage, session } from 'electron';
import { toFailure } from '../../core/protocol/failure-error.ts';
import { listPageFiles } from '../host/page-files.ts';
import { startLibraryHost } from '../store/start-library-host.ts';
import { PAGE_SCHEME, PAGE_URL, servePage } from './app-protocol.ts';
import { openIpcGate } from './ipc-gate.ts';
import { menuTemplate } from './menu.ts';
import { denyPermissions } from './permissions.ts';
import { buildSystemKeyStore } from './system-key-store.ts';
import { guardContents, windowOptions } from './window.ts';

const root = new URL('../../', import.meta.url); // from dist/desktop/

function report(error: unknown): void {
  process.stderr.write(`${error instanceof Error ? (error.stack ?? error.message) : String(error)}\n`);
}

protocol.registerSchemesAsPrivileged([PAGE_SCHEME]);
app.enableSandbox();
app.commandLine.appendSwitch('disable-background-networking');
app.on('web-contents-created', (_event, contents) => guardContents(contents));

if (app.requestSingleInstanceLock()) {
  app.whenReady().then(open).catch((error: unknown) => {
    const failure = toFailure(error);
    if (failure.code === 'internal') report(error);
    dialog.showErrorBox('Lacuna cannot start', [failure.message, failure.remedy].filter(Boolean).join('\n\n'));
    app.exit(1);
  });
} else {
  process.stderr.write('Lacuna is already open; its window was brought to the front.\n');
  app.exit(0);
}

async function open(): Promise<void> {
  const library = app.commandLine.getSwitchValue('library');
  const lockAfter = app.commandLine.getSwitchValue('lock-after');
  const keyStore = buildSystemKeyStore({ safeStorage, platform: process.platform, folder: join(app.getPath('userData'), 'library-keys') });
  const host = await startLibraryHost({ library: library === '' ? null : library, lockAfterMinutes: lockAfter === '' ? null : Number(lockAfter), door: 'desktop', keyStore, root }, report);
  // Without the prefix `persist:` the session lives in memory: nothing of a case stays in a browser cache.
  const pageSession = session.fromPartition('lacuna');
  denyPermissions(pageSession);
  servePage(pageSession, await listPageFiles(fileURLToPath(new URL('dist/page/', root))));
  openIpcGate(ipcMain, host, report);

  const window = new BrowserWindow(windowOptions(fileURLToPath(new URL('dist/preload/preload.cjs', root)), pageSession));
  Menu.setApplicationMenu(Menu.buildFromTemplate(menuTemplate(process.platform, () => window.webContents.print())));
  window.once('ready-to-show', () => window.show());
  app.on('second-instance', () => {
    if (window.isMinimized()) window.restore();
    window.focus();
  });
  window.on('closed', () => {
    host.close().then(() => app.exit(0), (error: unknown) => {
      report(error);
      app.exit(1);
    });
  });
  // Nothing to do here: by default the program would quit before the library is closed.
  app.on('window-all-closed', () => undefined);
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => window.close());
  await window.loadURL(PAGE_URL);
}
