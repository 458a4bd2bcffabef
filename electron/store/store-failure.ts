import { FailureError } from '../../core/protocol/failure-error.ts';
import { systemCode } from '../host/write-failure.ts';

/** Returns the failure to tell when the library's file could not be read or written; what is no refusal of the database stays as it is. */
export function storeFailure(error: unknown): unknown {
  const code = systemCode(error);
  if (error instanceof FailureError || !(code.startsWith('SQLITE_') || code.startsWith('UNKNOWN_SQLITE'))) return error;
  if (code === 'SQLITE_FULL') return new FailureError({ code: 'disk-full', message: 'The disk that holds the library is full; what was there before is unchanged.', remedy: 'Make room and do it again.' });
  if (code === 'SQLITE_CORRUPT' || code === 'SQLITE_NOTADB') return libraryDamaged();
  if (/^SQLITE_(READONLY|CANTOPEN|IOERR|PERM|BUSY|LOCKED)/.test(code)) {
    return new FailureError({ code: 'library-unwritable', message: `The library could not be written (${code}); what was there before is unchanged.`, remedy: 'Check that the disk and the folder of the library are there and may be written, and that no other program holds its file.' });
  }
  return error;
}

/** The failure that pages of the library's file, or what they hold, are not as they were written. */
export function libraryDamaged(): FailureError {
  return new FailureError({
    code: 'library-damaged',
    message: 'The library’s file is damaged: a part of it is not as it was written.',
    remedy: 'Keep the file as it is, and restore the newest of its backups (in the window, or with “lacuna library restore”). Records that came in after that backup can be imported again from the original exports; verdicts, notes, stories and actions given after it cannot.',
  });
}
