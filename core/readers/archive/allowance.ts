import { BrokenContainer } from './broken-container.ts';

/** How many files one archive may hold. A year of cases with three files each stays below. */
export const MAX_FILES = 10_000;
/** How many bytes one file may give, all that lies in it together. */
export const MAX_BYTES = 8 * 2 ** 30;
/** Below this nobody asks how well it was packed. */
export const FREE_BYTES = 64 * 2 ** 20;
/** Beyond `FREE_BYTES` a file may give this many times its own size. Two hundred columns of NaN beside a running time are packed 195 : 1 (measured), a trap 1000 : 1. */
export const MAX_RATIO = 400;
/** Archives in archives: an archive in an archive is read, one deeper is not. */
export const MAX_DEPTH = 2;

/** What may still come out of one file, shared by everything that lies in it. */
export class Allowance {
  private files = 0;
  private bytes = 0;

  /** `byteLength` is the size of the outermost file. */
  constructor(private readonly byteLength: number) {}

  /** Errors  throws BrokenContainer when the files are more than is allowed. */
  takeFiles(count: number): void {
    this.files += count;
    if (this.files <= MAX_FILES) return;
    throw new BrokenContainer(`The archive holds more than ${MAX_FILES} files.`, 'Unpack it and import its folders one after the other.');
  }

  /** Errors  throws BrokenContainer when the bytes are more than is allowed. */
  takeBytes(count: number): void {
    this.bytes += count;
    this.foresee(0);
  }

  /** Errors  throws BrokenContainer when `count` bytes more would be more than is allowed; nothing is taken. */
  foresee(count: number): void {
    const bytes = this.bytes + count;
    if (bytes > MAX_BYTES) {
      throw new BrokenContainer(`What the file holds is larger than ${MAX_BYTES / 2 ** 30} GB when unpacked.`, 'Unpack it and import its parts one after the other.');
    }
    if (bytes > FREE_BYTES && bytes > this.byteLength * MAX_RATIO) {
      throw new BrokenContainer(`What the file holds is more than ${MAX_RATIO} times as large as the file itself: no export of measurements is packed so tightly.`, 'Ask where the file comes from. If it is a real export, unpack it and import what it holds.');
    }
  }
}
