import type { MenuItemConstructorOptions } from 'electron';

/** Returns the native menu: what every program has. What Lacuna itself can do stands in the window. `print` opens the system's own dialog for the window. */
export function menuTemplate(platform: NodeJS.Platform, print: () => void): MenuItemConstructorOptions[] {
  const printing: MenuItemConstructorOptions = { label: 'Print…', accelerator: 'CommandOrControl+P', click: print };
  return [
    ...(platform === 'darwin' ? [{ role: 'appMenu' } as const, { label: 'File', submenu: [printing] }] : [{ label: 'File', submenu: [printing, { type: 'separator' } as const, { role: 'quit' } as const] }]),
    { label: 'Edit', submenu: [{ role: 'undo' }, { role: 'redo' }, { type: 'separator' }, { role: 'cut' }, { role: 'copy' }, { role: 'paste' }, { role: 'selectAll' }] },
    { label: 'View', submenu: [{ role: 'resetZoom' }, { role: 'zoomIn' }, { role: 'zoomOut' }, { type: 'separator' }, { role: 'togglefullscreen' }] },
    { role: 'windowMenu' },
  ];
}
