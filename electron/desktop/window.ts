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

/** The one window that our page may open: an empty one, into which it draws what the presenter sees (`renderer/panels/meeting/presenting/presenter-window.tsx`). */
const PRESENTER_WINDOW = { url: 'about:blank', frameName: 'lacuna-presenter' } as const;

/**
 * Keeps a page where it is: no navigation, no redirect, no embedded guest, and no new window but the presenter's. That one has no address to
 * load and no way to the host (`ipc-gate.ts` answers our own page alone), is guarded like every other content, and ends with the page that opened it.
 */
export function guardContents(contents: WebContents): void {
  contents.on('will-navigate', (event) => event.preventDefault());
  contents.on('will-frame-navigate', (event) => event.preventDefault());
  contents.on('will-redirect', (event) => event.preventDefault());
  contents.on('will-attach-webview', (event) => event.preventDefault());
  contents.setWindowOpenHandler(({ url, frameName }) => {
    if (url !== PRESENTER_WINDOW.url || frameName !== PRESENTER_WINDOW.frameName) return { action: 'deny' };
    return { action: 'allow', outlivesOpener: false, overrideBrowserWindowOptions: { title: 'Presenter', autoHideMenuBar: true, width: 960, height: 760 } };
  });
}
