import { join } from 'node:path';

const REACTS_OWN = 'react/jsx-runtime';

/** Returns the plugin of the page's build that puts `renderer/drawn-text` in the place of React's JSX for the page's own files. */
export function drawnTextPlugin(root) {
  const page = join(root, 'renderer').replaceAll('\\', '/');
  const ours = `${page}/drawn-text/jsx-runtime.ts`;
  return {
    name: 'drawn-text',
    enforce: 'pre',
    resolveId: (name, importer) => {
      const from = importer?.replaceAll('\\', '/') ?? '';
      return name === REACTS_OWN && from.startsWith(`${page}/`) && from !== ours ? ours : null;
    },
  };
}
