import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { createServer } from 'node:http';
import { tmpdir } from 'node:os';
import path from 'node:path';
import react from '@vitejs/plugin-react';
import { build } from 'vite';

const TYPES = { '.html': 'text/html', '.js': 'text/javascript', '.css': 'text/css', '.svg': 'image/svg+xml', '.ttf': 'font/ttf' };

/**
 * Builds the page whose `index.html` lies in `root` and serves it on a free local port, with `files` beside it (name to bytes).
 * Returns its address and how to stop.
 */
export async function servePage(root, files = new Map()) {
  const outDir = await mkdtemp(path.join(tmpdir(), 'lacuna-page-'));
  await build({ root, configFile: false, logLevel: 'error', plugins: [react()], build: { outDir, emptyOutDir: true, minify: true, chunkSizeWarningLimit: 4000 } });
  const server = createServer((request, response) => {
    const name = new URL(request.url ?? '/', 'http://127.0.0.1').pathname;
    const given = files.get(name.slice(1));
    const file = path.join(outDir, name === '/' ? 'index.html' : path.normalize(name));
    (given === undefined ? readFile(file) : Promise.resolve(given)).then(
      (bytes) => response.writeHead(200, { 'content-type': TYPES[path.extname(file)] ?? 'application/octet-stream' }).end(bytes),
      () => response.writeHead(404).end(),
    );
  });
  await new Promise((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address();
  return {
    address: `http://127.0.0.1:${port}/`,
    async stop() {
      await new Promise((resolve) => server.close(resolve));
      await rm(outDir, { recursive: true, force: true });
    },
  };
}
