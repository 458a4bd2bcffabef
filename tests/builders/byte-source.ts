import { createHash, createHmac } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { basename, dirname, join, relative, sep } from 'node:path';
import type { ByteSource, ImportOptions } from '../../core/readers/reader.ts';

/** Returns a source that hands out `bytes` in pieces of `pieceLength` (uneven borders are part of what readers must bear). */
export function memorySource(relativePath: string, bytes: Uint8Array, pieceLength = 65_536): ByteSource {
  return {
    relativePath,
    folderName: basename(dirname(relativePath)),
    byteLength: bytes.length,
    async *open() {
      for (let at = 0; at < bytes.length; at += pieceLength) yield bytes.subarray(at, at + pieceLength);
    },
  };
}

/** Returns a source for every file below `folder`, in path order; paths begin with the folder's own name. */
export function folderSources(folder: string): ByteSource[] {
  const top = dirname(folder);
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name))
    .sort()
    .map((path) => memorySource(relative(top, path).split(sep).join('/'), readFileSync(path)));
}

/** Returns import options with nothing stated: what a run without a mapping uses. */
export function plainImport(overrides: Partial<ImportOptions> = {}): ImportOptions {
  return {
    zone: null,
    mapping: null,
    keepIdentifiers: false,
    pseudonymOf: (identity) => createHmac('sha256', 'key of the tests').update(identity).digest('hex').slice(0, 10),
    createDigest: () => {
      const hash = createHash('sha256');
      return { update: (bytes) => void hash.update(bytes), hex: () => hash.digest('hex') };
    },
    ...overrides,
  };
}
