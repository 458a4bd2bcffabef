import type { MadeBundle } from '../../../../core/protocol/report-api.ts';
import { saveFile } from '../../../charts/save-file.ts';

/** Hands a bundle to the person as a download: the one way by which its tables leave the window. Its name says what it is, and nothing of a case. */
export function saveBundle(made: MadeBundle): void {
  saveFile(made.fileName, new Blob([bytesOf(made.base64)], { type: 'application/zip' }));
}

/** Returns the bytes that stand as base 64. */
export function bytesOf(base64: string): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(atob(base64), (sign) => sign.charCodeAt(0));
}
