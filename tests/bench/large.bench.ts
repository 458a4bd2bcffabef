import { createReadStream, readFileSync, statSync } from 'node:fs';
import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { startHost } from '../../electron/host/start-host.ts';

/*
 * Run in a process of its own, so that the memory is that of the host and its workers, which are threads of it:
 *   node large.bench.js ROOT LIBRARY FILE
 * Takes FILE in as a window does (staged, then read), through the host over a library folder, and prints one JSON line: seconds of
 * each stage, megabytes, the peak of the resident memory as the system counts it, and what was stored.
 */
const [root, library, path] = process.argv.slice(2);
if (root === undefined || library === undefined || path === undefined) throw new Error('usage: ROOT LIBRARY FILE');
const megabytes = statSync(path).size / 1e6;

/** Peak of the resident memory of this process so far; where the system has no such file, what Node knows of it. */
function peakMb(): number {
  try {
    return Math.round(Number(/VmHWM:\s+(\d+) kB/.exec(readFileSync('/proc/self/status', 'utf8'))?.[1]) / 1024);
  } catch {
    return Math.round(process.resourceUsage().maxRSS / 1024);
  }
}

const { host } = await startHost({ libraryFolder: library, door: 'browser', root: pathToFileURL(`${root}/`) }, (error) => console.error(error));
const began = performance.now();
const since = (): number => Math.round((performance.now() - began) / 100) / 10;
const { importId } = await host.beginImport();
await host.stageFile(importId, 'export.csv', createReadStream(path, { highWaterMark: 1 << 20 }));
const ends: Record<string, { readonly seconds: number; readonly peakMb: number }> = { staging: { seconds: since(), peakMb: peakMb() } };
let told = 0;
host.onEvent((event) => {
  if (event.kind !== 'import-progress') return;
  told += 1;
  ends[event.stage] = { seconds: since(), peakMb: peakMb() };
});
const result = await host.runImport({ importId, overrules: [], zone: 'UTC', mapping: null });
const seconds = since();
await host.endImport({ importId });
const stored = (await readdir(join(library, 'cases'))).filter((name) => name.endsWith('.case'));
const storedMb = stored.reduce((sum, name) => sum + statSync(join(library, 'cases', name)).size, 0) / 1e6;
await host.close();
const [file] = result.files;
console.log(
  JSON.stringify({
    megabytes, seconds, ends, told, peakMb: peakMb(), storedMb: Math.round(storedMb), cases: result.cases.length, stored: stored.length,
    dropouts: result.cases.reduce((sum, line) => sum + line.dropouts, 0), rows: file?.rows_read, rejected: file?.rows_rejected,
  }),
);
