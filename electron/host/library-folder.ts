import { homedir } from 'node:os';
import { join } from 'node:path';

/** Returns the folder of the user's own library: where this platform keeps a program's data. */
export function defaultLibraryFolder(env: Readonly<Record<string, string | undefined>>, platform: NodeJS.Platform): string {
  if (platform === 'win32') return join(env['LOCALAPPDATA'] ?? join(homedir(), 'AppData', 'Local'), 'Lacuna', 'library');
  if (platform === 'darwin') return join(homedir(), 'Library', 'Application Support', 'Lacuna', 'library');
  const dataHome = env['XDG_DATA_HOME'];
  return join(dataHome !== undefined && dataHome.startsWith('/') ? dataHome : join(homedir(), '.local', 'share'), 'lacuna', 'library');
}
