import type { InputFile } from '../../core/worker/analysis-service.ts';
import type { StagedFile } from './case-store.ts';

/**
 * Returns the staged files as the reader wants them: sorted by path, so that the order of choosing changes nothing.
 * `looseName`: what files without a folder are named after; null: the first of them.
 */
export function toInputFiles(staged: readonly StagedFile[], looseName: string | null): InputFile[] {
  const files = [...staged].sort((a, b) => (a.relativePath < b.relativePath ? -1 : 1));
  const loose = looseName ?? looseNameOf(staged);
  return files.map(({ path, relativePath, byteLength }) => ({ path, relativePath, byteLength, folderName: relativePath.split('/').at(-2) ?? loose }));
}

/** Returns what names the case of files chosen one by one, which come without their folder: the first one's name. */
export function looseNameOf(staged: readonly StagedFile[]): string {
  const [first] = staged.map(({ relativePath }) => relativePath).filter((path) => !path.includes('/')).sort();
  return first?.replace(/\.[^.]+$/, '') ?? '';
}
