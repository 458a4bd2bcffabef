import type { MadeBundle } from '../../../../core/protocol/report-api.ts';
import type { MadeReport } from '../../../../core/protocol/host-api.ts';
import { saveFile } from '../../../charts/save-file.ts';

/** What leaves the library from the reports: the one place through which everything that is saved here passes. */
export type Leaving =
  | { readonly kind: 'report'; readonly made: MadeReport; readonly form: 'html' | 'pdf'; readonly fileName: string }
  | { readonly kind: 'bundle'; readonly made: MadeBundle };

/** Hands what was made to the person as a download. Its name says what it is, and nothing of a case. */
export function saveLeaving(leaving: Leaving): void {
  if (leaving.kind === 'bundle') saveFile(leaving.made.fileName, new Blob([bytesOf(leaving.made.base64)], { type: 'application/zip' }));
  else if (leaving.form === 'html') saveFile(`${leaving.fileName}.html`, new Blob([leaving.made.html], { type: 'text/html' }));
  else saveFile(`${leaving.fileName}.pdf`, new Blob([bytesOf(leaving.made.pdfBase64)], { type: 'application/pdf' }));
}

/** Returns the bytes that stand as base 64. */
export function bytesOf(base64: string): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(atob(base64), (sign) => sign.charCodeAt(0));
}
