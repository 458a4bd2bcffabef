import type { FilePreview } from '../../../core/model/file-preview.ts';
import { fitsPattern } from '../../../core/model/mapping-match.ts';
import type { Mapping, ReadingRules } from '../../../core/model/mapping.ts';

type Entry = Mapping['files'][number];

/** Returns rules without what belongs to one file only and not to its shape: the name of its case and the offset of its clock. */
export function rulesOfShape(rules: ReadingRules): ReadingRules {
  const { caseId: _caseId, clockOffsetS: _clockOffsetS, ...rest } = rules;
  return rest;
}

/** Returns the headings by which files of the same shape are known; empty where the file has none, or is of a kind without headings. */
export function headingsOfShape(preview: FilePreview): string[] {
  return [...new Set(preview.headings.filter((heading) => heading !== ''))];
}

/** Returns a pattern for the names of files like this one: digits, which change from export to export, stand for any text. */
export function suggestPattern(file: string): string {
  const name = file.slice(file.lastIndexOf('/') + 1);
  return name.replace(/\d[\d._-]*\d|\d/g, '*');
}

/** Returns why a pattern is of no use for the file it was made for; null when it fits. */
export function patternFault(pattern: string, file: string): string | null {
  const name = file.slice(file.lastIndexOf('/') + 1);
  if (pattern.trim() === '') return null;
  return fitsPattern(name, pattern.trim()) || fitsPattern(file, pattern.trim()) ? null : `it does not fit this file itself (${name}); * stands for any text.`;
}

/** Returns a mapping with an entry put to it; one with the same match gives way. */
export function withEntry(mapping: Mapping, entry: Entry): Mapping {
  const same = JSON.stringify(entry.match);
  return { ...mapping, files: [...mapping.files.filter((other) => JSON.stringify(other.match) !== same), entry] };
}

/** Returns the name of the file that a mapping is written to: letters and digits of its name. */
export function fileNameOf(name: string): string {
  const plain = name.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-+|-+$/g, '').slice(0, 60);
  return `${plain === '' ? 'mapping' : plain}.json`;
}

/** Returns the text of a mapping file. */
export function mappingText(mapping: Mapping): string {
  return `${JSON.stringify(mapping, null, 2)}\n`;
}
