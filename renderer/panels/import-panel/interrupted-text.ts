import type { InterruptedImport } from '../../../core/protocol/host-api.ts';
import { countText, numberText } from '../../format/number-text.ts';

/** Returns what is said of an interrupted import: how far it had come, in cases once they are known, in files before. */
export function interruptedText({ files, filesRead, cases, casesDone }: InterruptedImport): string {
  const what = `An import of ${countText(files.length, 'file', 'files')} was interrupted`;
  if (cases !== null) return `${what} after ${numberText(casesDone)} of ${countText(cases, 'case', 'cases')}.`;
  return filesRead === 0 ? `${what} before the first file was read.` : `${what} after ${numberText(filesRead)} of ${numberText(files.length)} files were read.`;
}

/** Returns the names of its first files, and how many more there are. */
export function fileNamesText(files: InterruptedImport['files']): string {
  const shown = files.slice(0, 3).map(({ file }) => file).join(', ');
  return files.length > 3 ? `${shown} and ${numberText(files.length - 3)} more` : shown;
}

/** Returns what of it is in the library. */
export function libraryText({ casesStored }: InterruptedImport): string {
  if (casesStored === 0) return 'Nothing of it is in the library';
  return `It was being read again; what it stored before is still in the library (${countText(casesStored, 'case', 'cases')})`;
}
