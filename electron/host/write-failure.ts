import { FailureError } from '../../core/protocol/failure-error.ts';
import { isSystemError } from './atomic-write.ts';

/** Returns the failure to tell when the disk refused a write of the library. */
export function writeFailure(error: unknown): FailureError {
  if (isSystemError(error, 'ENOSPC', 'EDQUOT')) return new FailureError({ code: 'disk-full', message: 'The disk that holds the library is full; what was there before is unchanged.', remedy: 'Make room and do it again.' });
  const why = isSystemError(error, 'EROFS') ? 'its disk is read-only: EROFS' : systemCode(error);
  return new FailureError({ code: 'library-unwritable', message: `The library could not be written (${why}); what was there before is unchanged.`, remedy: 'Check that the library’s folder is there and may be written.' });
}

/** Returns the operating system's code of a refusal, for the end of a sentence. */
export function systemCode(error: unknown): string {
  return error instanceof Error && 'code' in error ? String(error.code) : 'unknown error';
}
