import { createReadStream } from 'node:fs';
import { readdir } from 'node:fs/promises';
import { join, relative, sep } from 'node:path';
import type { CaseStore } from './case-store.ts';
import type { Host } from './host.ts';

/**
 * Fills a library that was never filled with the sample cases, through the same import as any other file.
 * A user who removes them later does not get them back. An interrupted filling starts again at the next start.
 */
export async function importSamplesOnce(host: Host, store: CaseStore, samplesFolder: string): Promise<void> {
  if (!store.samplesPending) return;
  const { importId } = await host.beginImport();
  try {
    for (const path of await filesBelow(samplesFolder)) {
      await host.stageFile(importId, relative(samplesFolder, path).split(sep).join('/'), createReadStream(path));
    }
    await host.runImport({ importId, overrules: [], zone: null, mapping: null });
    await store.markSamplesOffered();
  } finally {
    await host.endImport({ importId });
  }
}

async function filesBelow(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { recursive: true, withFileTypes: true });
  return entries.filter((entry) => entry.isFile()).map((entry) => join(entry.parentPath, entry.name)).sort();
}
