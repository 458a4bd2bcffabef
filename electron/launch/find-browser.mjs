import { accessSync, constants, existsSync } from 'node:fs';
import { delimiter, join } from 'node:path';

const ON_PATH = ['chromium', 'chromium-browser', 'google-chrome-stable', 'google-chrome', 'microsoft-edge-stable', 'microsoft-edge'];
const ON_MAC = ['Google Chrome.app/Contents/MacOS/Google Chrome', 'Chromium.app/Contents/MacOS/Chromium', 'Microsoft Edge.app/Contents/MacOS/Microsoft Edge'];
const ON_WINDOWS = ['Google\\Chrome\\Application\\chrome.exe', 'Chromium\\Application\\chrome.exe', 'Microsoft\\Edge\\Application\\msedge.exe'];

/** Returns the program file of an installed browser of the Chromium family, or null. LACUNA_BROWSER names one by hand. */
export function findBrowser(env = process.env, platform = process.platform) {
  const chosen = env.LACUNA_BROWSER;
  if (chosen) return canRun(chosen) ? chosen : null;
  if (platform === 'darwin') {
    const folders = ['/Applications', join(env.HOME ?? '', 'Applications')];
    return folders.flatMap((folder) => ON_MAC.map((name) => join(folder, name))).find(canRun) ?? null;
  }
  if (platform === 'win32') {
    const folders = [env.PROGRAMFILES, env['PROGRAMFILES(X86)'], env.LOCALAPPDATA].filter(Boolean);
    return folders.flatMap((folder) => ON_WINDOWS.map((name) => join(folder, name))).find((path) => existsSync(path)) ?? null;
  }
  const folders = (env.PATH ?? '').split(delimiter).filter(Boolean);
  return ON_PATH.flatMap((name) => folders.map((folder) => join(folder, name))).find(canRun) ?? null;
}

function canRun(path) {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}
