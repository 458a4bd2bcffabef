import { createReadStream } from 'node:fs';
import { readdir } from 'node:fs/promises';
import { join, relative, sep } from 'node:path';
import type { HostApi, HostBytes, ImportResult } from '../../core/protocol/host-api.ts';
import type { CaseStore } from './case-store.ts';

/**
 * Fills a library that was never filled with the sample cases.
 * A user who removes them later does not get them back. An interrupted filling starts again at the next start.
 */
export async function importSamplesOnce(host: HostApi, store: CaseStore): Promise<void> {
  if (store.settings.samplesOffered) return;
  await host.importSamples();
  await store.settings.change({ samplesOffered: true });
}

/** Returns the report of importing the sample cases, which go through the same import as any other file. */
export async function importSamples(host: HostApi & HostBytes, begin: HostApi['beginImport'], samplesFolder: string): Promise<ImportResult> {
  const { importId } = await begin();
  try {
    for (const path of await filesBelow(samplesFolder)) {
      await host.stageFile(importId, relative(samplesFolder, path).split(sep).join('/'), createReadStream(path));
    }
    return await host.runImport({ importId, overrules: [], zone: null, mapping: null });
  } finally {
    await host.endImport({ importId });
  }
}

async function filesBelow(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { recursive: true, withFileTypes: true });
  return entries.filter((entry) => entry.isFile()).map((entry) => join(entry.parentPath, entry.name)).sort();
}
