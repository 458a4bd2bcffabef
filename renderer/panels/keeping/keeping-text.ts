import type { KeptAside, NamedLibrary, RemovedImport } from '../../../core/protocol/library-calls.ts';
import { byteText, countText } from '../../format/number-text.ts';
import { instantText } from '../../format/time-text.ts';

/** What is said wherever a passphrase is chosen. */
export const FORGOTTEN = 'A forgotten passphrase cannot be helped by anyone: not by us, not by your IT department. Without it nothing in the library can be read, and no copy or backup changes that. Write it down and keep it in a safe place.';

/** Least characters of a passphrase; the host refuses shorter ones. */
export const LEAST_PASSPHRASE = 12;

/** Where the folders of libraries lie, in words: a page is never told a path. */
export const WHERE_LIBRARIES_LIE = 'Lacuna’s own folder for libraries (Linux: ~/.local/share/lacuna, macOS: ~/Library/Application Support/Lacuna, Windows: %LOCALAPPDATA%\\Lacuna)';

/** Returns what kind of library it is, after its name. */
export function formText({ form }: Pick<NamedLibrary, 'form'>): string {
  return form === 'folder' ? 'folder, not encrypted' : 'encrypted';
}

/** Returns why a new passphrase cannot be used yet, or null; nothing is said before something is typed. */
export function passphraseFault(first: string, second: string): { readonly first: string | null; readonly second: string | null; readonly isUsable: boolean } {
  const isLong = [...first].length >= LEAST_PASSPHRASE;
  return {
    first: first === '' || isLong ? null : `at least ${LEAST_PASSPHRASE} characters are needed; these are ${[...first].length}.`,
    second: second === '' || second === first ? null : 'it is not the same as above.',
    isUsable: isLong && first === second,
  };
}

/** Returns which library was put aside when, and how large it is. */
export function keptAsideText({ name, at, byteLength }: KeptAside): string {
  return `On ${instantText(at)} a backup took the place of the library. The library as it was is kept as “${name}”, ${byteText(byteLength)}.`;
}

/** Returns what became of an import that was cut short. */
export function removedText({ files, byteLength, lastSignAt, wasReading }: RemovedImport): string {
  const what = `${countText(files, 'file', 'files')}, ${byteText(byteLength)}`;
  return wasReading
    ? `On ${instantText(lastSignAt)} the program ended while it read an import (${what}). Nothing of that reading came into the library; the copies of the files, which lay unencrypted, were removed. Your own files are as they were: import them again.`
    : `On ${instantText(lastSignAt)} the program ended before files that had been chosen were read (${what}). Their copies were removed. Your own files are as they were: choose them again.`;
}
