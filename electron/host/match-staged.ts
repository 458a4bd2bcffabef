import type { LedgerRun } from '../../core/model/ledger.ts';
import type { StagedMatch } from '../../core/protocol/host-api.ts';
import type { StagingArea } from './case-store.ts';

/** A file as it lay on the disk at an earlier import: by itself, or as an archive or workbook. */
interface ReadFile {
  readonly file: string;
  readonly sha256: string;
  readonly byteLength: number;
}

/** Returns the files of a reading as they lay on the disk; those that could not be opened are left out. */
export function filesOnDisk(run: LedgerRun): ReadFile[] {
  const found = new Map<string, ReadFile>();
  for (const { file, sha256, byte_length, container } of run.files) {
    const own = container === undefined ? { file, sha256, byteLength: byte_length } : { file: container.file, sha256: container.sha256, byteLength: container.byte_length };
    if (own.sha256 !== '') found.set(own.file, own);
  }
  return [...found.values()];
}

/**
 * Finds among the staged files those of an earlier reading, by digest, and gives them the names they had then, so that what was
 * said about them and the names of their cases hold again. Files of other content are dropped from the import.
 */
export async function matchStaged(staging: StagingArea, run: LedgerRun): Promise<Pick<StagedMatch, 'matched' | 'foreign' | 'missing'>> {
  const wanted = filesOnDisk(run);
  const open = [...wanted];
  const names = new Map<string, string>();
  const foreign: string[] = [];
  for (const { relativePath, sha256: digest } of staging.files) {
    const at = open.findIndex(({ sha256 }) => sha256 === digest);
    const [found] = at === -1 ? [] : open.splice(at, 1);
    if (found === undefined) foreign.push(relativePath);
    else names.set(relativePath, found.file);
  }
  await staging.keepOnly(names);
  return { matched: [...names.values()], foreign, missing: open.map(({ file, byteLength }) => ({ file, byteLength })) };
}
