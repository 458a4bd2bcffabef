import { fileURLToPath } from 'node:url';
import react from '@vitejs/plugin-react';

/** Serves the window over a host in memory, to look at every state of every screen. Never shipped. */
export default {
  root: fileURLToPath(new URL('.', import.meta.url)),
  plugins: [react()],
  server: { host: '127.0.0.1', port: 5197, strictPort: true, fs: { allow: [fileURLToPath(new URL('../../..', import.meta.url))] } },
  cacheDir: fileURLToPath(new URL('../../../node_modules/.vite-harness', import.meta.url)),
};
