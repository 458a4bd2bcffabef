import type { Mapping } from './mapping.ts';

export type MappingEntry = Mapping['files'][number];

/** Returns whether a file name fits a pattern in which `*` stands for any text; case matters as in file names. */
export function fitsPattern(name: string, pattern: string): boolean {
  const parts = pattern.split('*');
  const [first = ''] = parts;
  const last = parts[parts.length - 1] ?? '';
  if (parts.length === 1) return name === pattern;
  if (!name.startsWith(first) || name.length < first.length + last.length || !name.endsWith(last)) return false;
  let at = first.length;
  for (const part of parts.slice(1, -1)) {
    const found = name.indexOf(part, at);
    if (found === -1) return false;
    at = found + part.length;
  }
  return at <= name.length - last.length;
}

/**
 * Returns the entry of a mapping that fits a file, null when none does: one for exactly its path, else one that names the whole
 * path, else the first that fits by a pattern for the path or for its last part.
 * `headings` is null while they are not known, or where the file has none: entries that ask for headings then fit no file.
 */
export function fittingEntry(mapping: Mapping, relativePath: string, headings: readonly string[] | null): MappingEntry | null {
  const name = relativePath.slice(relativePath.lastIndexOf('/') + 1);
  const found = new Set((headings ?? []).map((heading) => heading.trim().toLowerCase()));
  const fitting = mapping.files.filter(({ match: { fileName, path, headings: asked } }) => {
    if (path !== undefined && path !== relativePath) return false;
    if (fileName !== undefined && fileName !== '' && !fitsPattern(relativePath, fileName) && !fitsPattern(name, fileName)) return false;
    return asked === undefined || asked.length === 0 || (headings !== null && asked.every((heading) => found.has(heading.trim().toLowerCase())));
  });
  return fitting.find(({ match }) => match.path !== undefined) ?? fitting.find(({ match }) => match.fileName === relativePath) ?? fitting[0] ?? null;
}
