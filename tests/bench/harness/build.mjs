import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { servePage } from '../../builders/serve-page.mjs';

/** Builds the harness page into a folder of its own and serves it on a free local port; returns its address and how to stop. */
export function serveHarness() {
  return servePage(path.dirname(fileURLToPath(import.meta.url)));
}
