import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { readdir, readFile, stat } from 'node:fs/promises';
import { join } from 'node:path';
import type { BundleManifest, FileDigest } from '../../core/model/bundle-manifest.ts';
import { bundleManifestSchema } from '../../core/model/bundle-manifest-schema.ts';
import { parseJsonText } from '../../core/persist/json-text.ts';
import { BUNDLE_FILES } from '../../core/report/bundle/bundle-names.ts';
import { WrongCall, codeOf } from './find-inputs.ts';

/** Returns the digest of a file on the disk. Errors rejects with the disk's error. */
export async function digestOfFile(path: string): Promise<Omit<FileDigest, 'file'>> {
  const hash = createHash('sha256');
  let length = 0;
  for await (const chunk of createReadStream(path)) {
    const bytes: Uint8Array = chunk; // a stream without an encoding yields Buffers, which are Uint8Arrays
    hash.update(bytes);
    length += bytes.byteLength;
  }
  return { sha256: hash.digest('hex'), byte_length: length };
}

/** Returns every file in a folder and the folders in it, with '/' between; an empty list where there is none. Links are listed, not followed. */
export async function filesIn(folder: string, below = ''): Promise<string[]> {
  const entries = await readdir(join(folder, below), { withFileTypes: true }).catch((error: unknown) => {
    if (codeOf(error) === 'ENOENT') return [];
    throw new WrongCall(`The folder cannot be opened (${codeOf(error)}): ${join(folder, below)}`);
  });
  const files: string[] = [];
  for (const entry of entries) {
    const name = below === '' ? entry.name : `${below}/${entry.name}`;
    if (entry.isDirectory()) files.push(...(await filesIn(folder, name)));
    else files.push(name);
  }
  return files.sort();
}

/** Returns the manifest of a bundle. Errors throws WrongCall where there is none that can be read. */
export async function readManifest(folder: string): Promise<BundleManifest> {
  if ((await stat(folder).catch(() => null))?.isDirectory() !== true) throw new WrongCall(`There is no folder ${folder}. Name the folder of a research bundle.`);
  const text = await readFile(join(folder, BUNDLE_FILES.manifest), 'utf8').catch((error: unknown) => {
    throw new WrongCall(`${folder} is no research bundle: its ${BUNDLE_FILES.manifest} cannot be read (${codeOf(error)}).`);
  });
  const json = parseJsonText(text);
  const parsed = bundleManifestSchema.safeParse(json.ok ? json.value : null);
  if (!parsed.success) throw new WrongCall(`${folder} is no research bundle that this version can read: ${json.ok ? `in ${BUNDLE_FILES.manifest}, “${parsed.error.issues[0]?.path.join('.') ?? ''}” does not fit` : json.failure.message}`);
  return parsed.data;
}

/**
 * Checks that a bundle may be written into a folder: it is missing, empty, or holds an earlier bundle and nothing else.
 * Errors  throws WrongCall: whatever lay in a bundle without belonging to it would make it fail its own check.
 */
export async function checkBundleFolder(folder: string): Promise<void> {
  const files = (await filesIn(folder)).filter((name) => !name.startsWith('.lacuna-part-'));
  if (files.length === 0) return;
  const before = files.includes(BUNDLE_FILES.manifest) ? await readManifest(folder) : null;
  const own = new Set<string>([...(before?.files.map(({ file }) => file) ?? []), BUNDLE_FILES.manifest, BUNDLE_FILES.sums]);
  const foreign = files.find((name) => before === null || !own.has(name));
  if (foreign !== undefined) throw new WrongCall(`The output folder holds something that is no part of a bundle: ${foreign}. Choose an empty folder for --out.`);
}
