import type { Mapping, ReadingRules } from '../model/mapping.ts';

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

/** Whether any entry of a mapping is chosen by headings, so that the headings must be found before the rules are known. */
export function asksForHeadings(mapping: Mapping | null): boolean {
  return mapping !== null && mapping.files.some((file) => file.match.headings !== undefined && file.match.headings.length > 0);
}

/**
 * Returns the rules of the first entry that fits a file, null when none does. The name is matched whole or by its last part.
 * `headings` is null while they are not known yet: entries that ask for headings then fit no file.
 */
export function chooseRules(mapping: Mapping | null, relativePath: string, headings: readonly string[] | null): ReadingRules | null {
  if (mapping === null) return null;
  const name = relativePath.slice(relativePath.lastIndexOf('/') + 1);
  const found = new Set((headings ?? []).map((heading) => heading.trim().toLowerCase()));
  for (const file of mapping.files) {
    const { fileName, headings: asked } = file.match;
    if (fileName !== undefined && fileName !== '' && !fitsPattern(relativePath, fileName) && !fitsPattern(name, fileName)) continue;
    if (asked !== undefined && asked.length > 0 && (headings === null || !asked.every((heading) => found.has(heading.trim().toLowerCase())))) continue;
    return file.reading;
  }
  return null;
}
