import { expect, test } from 'vitest';
import { filesBelow, importsOf, readText } from './source-files.ts';

/*
 * A static look at the sources of the desktop program, after the security checklist of Electron's own documentation
 * ("Security": sandbox, isolation, navigation, new windows, custom protocol, sender of every message, permissions).
 */
const DESKTOP = [...filesBelow('electron/desktop', /\.ts$/), ...filesBelow('electron/preload', /\.ts$/)];
const code = (file: string): string => readText(file).replace(/\/\*[\s\S]*?\*\/|\/\/.*$/gm, '');
const holding = (pattern: RegExp, files = DESKTOP): string[] => files.filter((file) => pattern.test(code(file)));

test('no protection of the page is switched off anywhere', () => {
  expect(DESKTOP.length).toBeGreaterThan(6);
  expect(holding(/nodeIntegration\w*:\s*true|contextIsolation:\s*false|sandbox:\s*false|webSecurity:\s*false|allowRunningInsecureContent:\s*true|webviewTag:\s*true/)).toEqual([]);
  expect(holding(/enableBlinkFeatures|experimentalFeatures|disable-web-security|no-sandbox|remote-debugging|ignore-certificate-errors/)).toEqual([]);
  expect(holding(/setWindowOpenHandler/)).toEqual(['electron/desktop/window.ts']);
});

test('there is one window, made with the checked options, and every content is guarded', () => {
  const main = code('electron/desktop/main.ts');
  expect(holding(/new (BrowserWindow|BrowserView|WebContentsView)\(/)).toEqual(['electron/desktop/main.ts']);
  expect(main.match(/new BrowserWindow\(/g)).toHaveLength(1);
  expect(main).toMatch(/new BrowserWindow\(windowOptions\(/);
  expect(main).toMatch(/app\.on\('web-contents-created', \(_event, contents\) => guardContents\(contents\)\)/);
  expect(main).toMatch(/app\.enableSandbox\(\)/);
  expect(main).toMatch(/requestSingleInstanceLock\(\)/);
  expect(main).toMatch(/denyPermissions\(pageSession\)/);
});

test('only our own page is ever loaded, from a scheme of its own; no file address, no remote one', () => {
  expect(holding(/loadFile\(|file:\/\/|https?:\/\//)).toEqual([]);
  expect([...code('electron/desktop/main.ts').matchAll(/loadURL\(([^)]*)\)/g)].map((match) => match[1])).toEqual(['PAGE_URL']);
  expect(holding(/shell\b|openExternal\(/)).toEqual([]);
  expect(code('electron/desktop/app-protocol.ts')).not.toMatch(/bypassCSP|corsEnabled|allowServiceWorkers|supportFetchAPI/);
});

test('one channel leads to the host, and its sender is checked', () => {
  expect(holding(/ipcMain\.(on|handle|once)\(/)).toEqual(['electron/desktop/ipc-gate.ts']);
  const gate = code('electron/desktop/ipc-gate.ts');
  expect(gate.match(/ipcMain\.(on|handle|once)\(/g)).toEqual(['ipcMain.on(']);
  expect(gate).toMatch(/ipcMain\.on\(CONNECT_CHANNEL/);
  expect(gate).toMatch(/!isOwnPage\(event\)/);
});

test('the preload script gives the page a frozen record and one port, and never ipcRenderer itself', () => {
  const preload = code('electron/preload/preload.ts');
  expect([...preload.matchAll(/exposeInMainWorld\(/g)]).toHaveLength(1);
  expect(preload).toMatch(/exposeInMainWorld\('lacunaDesktop', Object\.freeze\(/);
  expect([...preload.matchAll(/ipcRenderer\.(\w+)/g)].map((match) => match[1])).toEqual(['postMessage']);
  expect(importsOf('electron/preload/preload.ts').map((edge) => edge.target)).toEqual(['electron', 'core/protocol/port-handshake.ts']);
});

test('the loopback server listens on 127.0.0.1 only and sends no header that opens it to other pages', () => {
  const files = filesBelow('electron/loopback', /\.ts$/);
  const listening = files.flatMap((file) => [...code(file).matchAll(/\.listen\(([^,]*),/g)].map((match) => `${file}: ${match[1]}`));
  expect(listening).toEqual(["electron/loopback/server.ts: { host: '127.0.0.1'"]);
  expect(holding(/access-control-allow|0\.0\.0\.0|'::'/i, files)).toEqual([]);
});
