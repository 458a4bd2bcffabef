import { EventEmitter } from 'node:events';
import type { Session, WebContents } from 'electron';
import { expect, test, vi } from 'vitest';
import { DENIED_PERMISSIONS, denyPermissions, GRANTED_PERMISSION } from '../../../../electron/desktop/permissions.ts';
import { menuTemplate } from '../../../../electron/desktop/menu.ts';
import { guardContents, windowOptions } from '../../../../electron/desktop/window.ts';

test('the page runs in the sandbox, isolated, without Node', () => {
  const options = windowOptions('/app/preload.cjs', {} as Session);
  expect(options.webPreferences).toMatchObject({
    sandbox: true,
    contextIsolation: true,
    nodeIntegration: false,
    nodeIntegrationInWorker: false,
    nodeIntegrationInSubFrames: false,
    webSecurity: true,
    allowRunningInsecureContent: false,
    webviewTag: false,
    navigateOnDragDrop: false,
  });
  expect(options.webPreferences).not.toHaveProperty('enableBlinkFeatures');
  expect(options.webPreferences).not.toHaveProperty('experimentalFeatures');
});

test('navigation, redirects, guests and new windows are refused, but for the empty one of the presenter', () => {
  let handler: ((asked: { url: string; frameName: string }) => { action: string; overrideBrowserWindowOptions?: object }) | null = null;
  const contents = Object.assign(new EventEmitter(), { setWindowOpenHandler: (given: typeof handler) => (handler = given) });
  guardContents(contents as unknown as WebContents);
  for (const name of ['will-navigate', 'will-frame-navigate', 'will-redirect', 'will-attach-webview']) {
    let isPrevented = false;
    contents.emit(name, { preventDefault: () => (isPrevented = true), url: 'https://evil.example' });
    expect(isPrevented, name).toBe(true);
  }
  const asked = [['https://evil.example', 'lacuna-presenter'], ['about:blank', ''], ['about:blank', '_blank'], ['about:blank#x', 'lacuna-presenter'], ['javascript:0', 'lacuna-presenter'], ['lacuna://page/', 'lacuna-presenter'], ['', 'lacuna-presenter']];
  for (const [url, frameName] of asked) expect(handler!({ url: url!, frameName: frameName! }), `${url} ${frameName}`).toEqual({ action: 'deny' });
  const presenter = handler!({ url: 'about:blank', frameName: 'lacuna-presenter' });
  // It takes over the sandbox of the page that opens it, and gets nothing more.
  expect(presenter).toMatchObject({ action: 'allow', outlivesOpener: false });
  expect(presenter.overrideBrowserWindowOptions).not.toHaveProperty('webPreferences');
});

test('every permission but that to fill the screen is denied, each with its reason', () => {
  const handlers: Record<string, (...args: unknown[]) => unknown> = {};
  const session = new Proxy({}, { get: (_target, name: string) => (handler: (...args: unknown[]) => unknown) => (handlers[name] = handler) });
  denyPermissions(session as Session);
  for (const permission of [...Object.keys(DENIED_PERMISSIONS), 'a-permission-of-next-year']) {
    const answers: boolean[] = [];
    handlers['setPermissionRequestHandler']!({}, permission, (granted: boolean) => answers.push(granted));
    expect(answers).toEqual([false]);
    expect(handlers['setPermissionCheckHandler']!({}, permission)).toBe(false);
  }
  const granted: boolean[] = [];
  handlers['setPermissionRequestHandler']!({}, GRANTED_PERMISSION, (answer: boolean) => granted.push(answer));
  expect([...granted, handlers['setPermissionCheckHandler']!({}, GRANTED_PERMISSION)]).toEqual([true, true]);
  expect(DENIED_PERMISSIONS).not.toHaveProperty(GRANTED_PERMISSION);
  expect(handlers['setDevicePermissionHandler']!({})).toBe(false);
  const streams: unknown[] = [];
  handlers['setDisplayMediaRequestHandler']!({}, (answer: unknown) => streams.push(answer));
  expect(streams).toEqual([{}]);
  for (const reason of Object.values(DENIED_PERMISSIONS)) expect(reason.length).toBeGreaterThan(10);
});

test('the menu holds no way to load another page or to open the inspector', () => {
  for (const platform of ['linux', 'darwin', 'win32'] as const) {
    expect(JSON.stringify(menuTemplate(platform, () => undefined))).not.toMatch(/reload|toggleDevTools/i);
  }
});

test.each(['linux', 'darwin', 'win32'] as const)('the menu prints the window by the key of every program, on %s', (platform) => {
  const print = vi.fn();
  const entries = menuTemplate(platform, print).flatMap(({ submenu }) => (Array.isArray(submenu) ? submenu : []));
  const [printing, ...more] = entries.filter(({ accelerator }) => accelerator === 'CommandOrControl+P');
  expect(more).toEqual([]);
  expect(printing?.label).toBe('Print…');
  (printing?.click as (() => void) | undefined)?.();
  expect(print).toHaveBeenCalledOnce();
});
