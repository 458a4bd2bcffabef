import { countWords } from '../base/count-words.ts';
import type { CaseReading, FileReading } from '../readers/reading.ts';
import { dropDoubles } from './drop-doubles.ts';
import { placeBundles } from './place-bundles.ts';

/** Part of a case: one reading of one file, both by their places among those that were planned from. */
export interface PlannedPart {
  readonly file: number;
  readonly reading: number;
}

/** A case that files make together, before it is put together. */
export interface PlannedCase {
  readonly caseId: string;
  /** What case lists say about it. */
  readonly attributes: Readonly<Record<string, string>>;
  readonly parts: readonly PlannedPart[];
}

/** A sentence for a file's report. */
export interface FileNote {
  readonly file: number;
  readonly note: string;
}

/** Which readings make which cases. Plain data. */
export interface CasePlan {
  /** In the order in which the files, by their paths, name them. */
  readonly cases: readonly PlannedCase[];
  readonly notes: readonly FileNote[];
}

interface Part {
  readonly file: FileReading;
  readonly reading: CaseReading;
}

interface Group {
  readonly id: string;
  readonly parts: Part[];
}

/**
 * Returns which cases the files make together. Files of one folder without a case column are one case, named after the folder
 * (or the only case that other files of the folder name).
 * Shape   looks at nothing that can be put away, so shelved readings do. The plan depends on the readings alone, not on their
 *         order, except for the places that it names.
 * Errors  never throws for bad input.
 */
export function planCases(readings: readonly FileReading[]): CasePlan {
  const files = placeBundles(readings);
  const placeOf = new Map(files.map((file, i) => [file, i]));
  const notes: FileNote[] = [];
  const at = (file: FileReading): number => placeOf.get(file) ?? -1;
  const { groups, attributes } = groupParts([...files].sort(byPath), (file, note) => notes.push({ file: at(file), note }));
  return {
    cases: groups.map(({ id, parts }) => ({
      caseId: id,
      attributes: attributes.get(id) ?? {},
      parts: parts.map(({ file, reading }) => ({ file: at(file), reading: file.cases.indexOf(reading) })),
    })),
    notes,
  };
}

function byPath(a: FileReading, b: FileReading): number {
  return byText(a.source.relativePath, b.source.relativePath);
}

function byText(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}

function isEmpty({ channels, events, drugs, shelved }: CaseReading): boolean {
  return shelved === undefined ? channels.length + events.length + drugs.length === 0 : shelved.nChannels + shelved.nEvents + shelved.nDrugs === 0;
}

/** Puts what the files say under the case it belongs to. */
function groupParts(files: readonly FileReading[], say: (file: FileReading, note: string) => void): { groups: Group[]; attributes: Map<string, Record<string, string>> } {
  const maskedNames = maskedCaseNames(files);
  const keyOf = (file: FileReading, reading: CaseReading): string | null => (reading.caseKey === null ? null : file.areKeysMasked ? (maskedNames.get(reading.caseKey) ?? reading.caseKey) : reading.caseKey);
  const folderNames = folderCaseNames(files);
  const idsOfFolder = new Map<string, Set<string>>();
  for (const file of files) {
    if (file.source.kind === 'case list') continue;
    for (const reading of file.cases) {
      const key = keyOf(file, reading);
      if (key === null) continue;
      const ids = idsOfFolder.get(file.source.folder) ?? new Set<string>();
      ids.add(key);
      idsOfFolder.set(file.source.folder, ids);
    }
  }
  const groups = new Map<string, Group>();
  const attributes = new Map<string, Record<string, string>>();
  const listed: { readonly file: FileReading; readonly reading: CaseReading; readonly id: string }[] = [];
  for (const file of files) {
    if (file.areKeysMasked) say(file, 'What tells its cases apart identifies a person or a stay: the cases bear the folder’s name or a code instead of it.');
    for (const reading of file.cases) {
      const key = keyOf(file, reading);
      const ownFolder = idsOfFolder.get(file.source.folder);
      let id = key ?? folderNames.get(file.source.folder) ?? file.source.folderName;
      if (key === null && ownFolder !== undefined && ownFolder.size === 1) {
        const [only] = ownFolder;
        if (only !== undefined) {
          id = only;
          say(file, `The file names no case; it was joined to case ${only}, the only one that the other files of its folder name.`);
        }
      }
      if (file.source.kind === 'case list') {
        listed.push({ file, reading, id });
        continue;
      }
      if (isEmpty(reading)) continue;
      const group = groups.get(id) ?? { id, parts: [] };
      if (group.parts.some((part) => part.file.source.sha256 === file.source.sha256 && part.reading.caseKey === reading.caseKey && file.source.sha256 !== '')) {
        say(file, 'The file has the same content as another file of the case and was not used a second time.');
        continue;
      }
      group.parts.push({ file, reading });
      groups.set(id, group);
    }
  }
  const missing = new Map<FileReading, number>();
  for (const { file, reading, id } of listed) {
    const group = groups.get(id);
    if (group === undefined) {
      missing.set(file, (missing.get(file) ?? 0) + 1);
      continue;
    }
    const own = attributes.get(id) ?? {};
    for (const [name, value] of Object.entries(reading.attributes)) own[name] ??= value;
    attributes.set(id, own);
    group.parts.push({ file, reading });
  }
  for (const [file, count] of missing) say(file, `${countWords(count, 'case of the list has', 'cases of the list have')} no trends, drugs or events among the files read.`);
  return { groups: dropDoubles([...groups.values()], say), attributes };
}

/** Returns the names of cases told apart by codes, where a folder's name is better: that of a folder which the code has to itself. */
function maskedCaseNames(files: readonly FileReading[]): Map<string, string> {
  const foldersOf = new Map<string, Map<string, string>>();
  const keysOf = new Map<string, Set<string>>();
  for (const file of files) {
    if (!file.areKeysMasked) continue;
    for (const { caseKey } of file.cases) {
      if (caseKey === null) continue;
      foldersOf.set(caseKey, (foldersOf.get(caseKey) ?? new Map<string, string>()).set(file.source.folder, file.source.folderName));
      keysOf.set(file.source.folder, (keysOf.get(file.source.folder) ?? new Set<string>()).add(caseKey));
    }
  }
  const names = new Map<string, string>();
  for (const [key, folders] of foldersOf) {
    const [only, ...rest] = folders;
    if (only !== undefined && rest.length === 0 && keysOf.get(only[0])?.size === 1 && only[1] !== '') names.set(key, only[1]);
  }
  return names;
}

/** Returns the name of each folder's case: the folder's own name, with its parents where two folders share it. */
function folderCaseNames(files: readonly FileReading[]): Map<string, string> {
  const folders = new Map<string, string>();
  for (const file of files) if (file.cases.some((reading) => reading.caseKey === null)) folders.set(file.source.folder, file.source.folderName);
  const uses = new Map<string, number>();
  for (const name of folders.values()) uses.set(name, (uses.get(name) ?? 0) + 1);
  return new Map([...folders].map(([folder, name]) => [folder, (uses.get(name) ?? 0) > 1 && folder !== '' ? folder : name]));
}
