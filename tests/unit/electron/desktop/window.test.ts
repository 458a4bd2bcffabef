import { EventEmitter } from 'node:events';
import type { Session, WebContents } from 'electron';
import { expect, test } from 'vitest';
import { DENIED_PERMISSIONS, denyPermissions } from '../../../../electron/desktop/permissions.ts';
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

test('navigation, redirects, guests and new windows are refused', () => {
  let handler: (() => { action: string }) | null = null;
  const contents = Object.assign(new EventEmitter(), { setWindowOpenHandler: (given: typeof handler) => (handler = given) });
  guardContents(contents as unknown as WebContents);
  for (const name of ['will-navigate', 'will-frame-navigate', 'will-redirect', 'will-attach-webview']) {
    let isPrevented = false;
    contents.emit(name, { preventDefault: () => (isPrevented = true), url: 'https://evil.example' });
    expect(isPrevented, name).toBe(true);
  }
  expect(handler!()).toEqual({ action: 'deny' });
});

test('every permission is denied, each with its reason', () => {
  const handlers: Record<string, (...args: unknown[]) => unknown> = {};
  const session = new Proxy({}, { get: (_target, name: string) => (handler: (...args: unknown[]) => unknown) => (handlers[name] = handler) });
  denyPermissions(session as Session);
  for (const permission of [...Object.keys(DENIED_PERMISSIONS), 'a-permission-of-next-year']) {
    const answers: boolean[] = [];
    handlers['setPermissionRequestHandler']!({}, permission, (granted: boolean) => answers.push(granted));
    expect(answers).toEqual([false]);
    expect(handlers['setPermissionCheckHandler']!({}, permission)).toBe(false);
  }
  expect(handlers['setDevicePermissionHandler']!({})).toBe(false);
  const streams: unknown[] = [];
  handlers['setDisplayMediaRequestHandler']!({}, (answer: unknown) => streams.push(answer));
  expect(streams).toEqual([{}]);
  for (const reason of Object.values(DENIED_PERMISSIONS)) expect(reason.length).toBeGreaterThan(10);
});

test('the menu holds no way to load another page or to open the inspector', () => {
  for (const platform of ['linux', 'darwin', 'win32'] as const) {
    expect(JSON.stringify(menuTemplate(platform))).not.toMatch(/reload|toggleDevTools/i);
  }
});
