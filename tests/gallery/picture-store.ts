import { existsSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

export const PICTURE_FOLDER = join(import.meta.dirname, 'pictures');

/** A picture as it is stored: its geometry as text, its pixels as PNG, and the digest of the letters that these pixels have. */
export interface StoredPicture {
  readonly geometry: string | null;
  readonly png: Buffer | null;
  readonly letters: string | null;
}

function pathOf(name: string, ending: string): string {
  return join(PICTURE_FOLDER, `${name}.${ending}`);
}

/** Returns a stored picture; null for the parts that are not there. */
export function readStored(name: string): StoredPicture {
  const read = (ending: string): Buffer | null => (existsSync(pathOf(name, ending)) ? readFileSync(pathOf(name, ending)) : null);
  return { geometry: read('txt')?.toString('utf8') ?? null, png: read('png'), letters: readLetters()[name] ?? null };
}

/** Returns the names of all stored pictures. */
export function storedNames(): string[] {
  return readdirSync(PICTURE_FOLDER).filter((file) => /(?<!\.changed)\.txt$/.test(file)).map((file) => file.slice(0, -4)).sort();
}

/** Writes a changed picture beside the stored one, and which letters its pixels have. */
export function writeChanged(name: string, geometry: string, png: Uint8Array, letters: string): void {
  writeFileSync(pathOf(name, 'changed.txt'), geometry);
  writeFileSync(pathOf(name, 'changed.png'), png);
  writeFileSync(pathOf(name, 'changed.letters'), letters);
}

/** Takes away what an earlier run wrote beside a picture. */
export function removeChanged(name: string): void {
  for (const ending of ['changed.txt', 'changed.png', 'changed.letters']) rmSync(pathOf(name, ending), { force: true });
}

function readLetters(): Readonly<Record<string, string>> {
  const path = join(PICTURE_FOLDER, 'letters.json');
  // Written by `run.mjs` alone.
  return existsSync(path) ? (JSON.parse(readFileSync(path, 'utf8')) as Record<string, string>) : {};
}
