import type { BrowserWindowConstructorOptions, Session, WebContents } from 'electron';

/**
 * Returns the options of the one window: the page runs sandboxed, apart from the preload script, without Node,
 * in a session that leaves nothing on the disk.
 */
export function windowOptions(preload: string, session: Session): BrowserWindowConstructorOptions {
  return {
    width: 1500,
    height: 950,
    minWidth: 900,
    minHeight: 600,
    show: false,
    title: 'Lacuna',
    webPreferences: {
      preload,
      session,
      sandbox: true,
      contextIsolation: true,
      nodeIntegration: false,
      nodeIntegrationInWorker: false,
      nodeIntegrationInSubFrames: false,
      webSecurity: true,
      allowRunningInsecureContent: false,
      webviewTag: false,
      navigateOnDragDrop: false,
      spellcheck: false,
    },
  };
}

/** Keeps a page where it is: no navigation, no redirect, no new window, no embedded guest. */
export function guardContents(contents: WebContents): void {
  contents.on('will-navigate', (event) => event.preventDefault());
  contents.on('will-frame-navigate', (event) => event.preventDefault());
  contents.on('will-redirect', (event) => event.preventDefault());
  contents.on('will-attach-webview', (event) => event.preventDefault());
  contents.setWindowOpenHandler(() => ({ action: 'deny' }));
}
