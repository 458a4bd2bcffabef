import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { createRequire } from 'node:module';

const require = createRequire(import.meta.url);

/**
 * Returns Electron's program file, or null where its runtime is not there.
 * Loading the package itself would try to download the runtime; its files are looked at instead.
 */
export function findElectron(env = process.env, platform = process.platform) {
  let folder;
  try {
    folder = dirname(require.resolve('electron/package.json'));
  } catch {
    return null;
  }
  const names = { darwin: 'Electron.app/Contents/MacOS/Electron', win32: 'electron.exe' };
  const pathFile = join(folder, 'path.txt');
  const name = existsSync(pathFile) ? readFileSync(pathFile, 'utf8').trim() : (names[platform] ?? 'electron');
  const path = env.ELECTRON_OVERRIDE_DIST_PATH ? join(env.ELECTRON_OVERRIDE_DIST_PATH, name) : join(folder, 'dist', name);
  return existsSync(path) ? path : null;
}

/** Returns whether a window can be shown. */
export function hasDisplay(env = process.env, platform = process.platform) {
  return platform === 'darwin' || platform === 'win32' || Boolean(env.DISPLAY) || Boolean(env.WAYLAND_DISPLAY);
}
