import { mkdtemp } from 'node:fs/promises';
import { createServer } from 'node:http';
import { readFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import react from '@vitejs/plugin-react';
import { build } from 'vite';

const HARNESS = path.dirname(fileURLToPath(import.meta.url));
const TYPES = { '.html': 'text/html', '.js': 'text/javascript', '.css': 'text/css', '.svg': 'image/svg+xml' };

/** Builds the harness page into a folder of its own and serves it on a free local port; returns its address and how to stop. */
export async function serveHarness() {
  const outDir = await mkdtemp(path.join(tmpdir(), 'lacuna-harness-'));
  await build({ root: HARNESS, configFile: false, logLevel: 'error', plugins: [react()], build: { outDir, emptyOutDir: true, minify: true } });
  const server = createServer((request, response) => {
    const name = new URL(request.url ?? '/', 'http://127.0.0.1').pathname;
    const file = path.join(outDir, name === '/' ? 'index.html' : path.normalize(name));
    readFile(file).then(
      (bytes) => response.writeHead(200, { 'content-type': TYPES[path.extname(file)] ?? 'application/octet-stream' }).end(bytes),
      () => response.writeHead(404).end(),
    );
  });
  await new Promise((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address();
  return { address: `http://127.0.0.1:${port}/`, stop: () => new Promise((resolve) => server.close(resolve)) };
}
