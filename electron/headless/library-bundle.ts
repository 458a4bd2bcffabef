import { stat } from 'node:fs/promises';
import { unzip } from 'fflate';
import type { BundleManifest } from '../../core/model/bundle-manifest.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import { REVIEWS_FILE_NAME } from '../../core/report/report-files.ts';
import { tableName } from '../../core/report/bundle/bundle-names.ts';
import { createAnalysisPool } from '../host/analysis-pool.ts';
import { openFolderStore } from '../host/folder-case-store.ts';
import { writeLibraryBundle } from '../host/library-bundle.ts';
import { askPassphrase, PASSPHRASE_VARIABLE } from '../store/ask-passphrase.ts';
import { isLibraryFile, openLibraryFile } from '../store/library-file.ts';
import { WrongCall } from './find-inputs.ts';
import type { RunSurroundings } from './read-inputs.ts';

/**
 * Returns the files of a bundle, made anew from the library that it was written from, by their names; `lastSaid` is the hash of the last
 * entry of its trail that the bundle holds. Nothing in the library is changed.
 * Errors  throws WrongCall for a library that cannot be opened, or a bundle that does not name its cases.
 */
export async function bundleOfLibrary(library: string, { options, files }: BundleManifest, parameters: AnalysisParameters, lastSaid: string | null, { display, signal, workerUrl, productVersion }: RunSurroundings): Promise<ReadonlyMap<string, Uint8Array>> {
  const { cases, cohort, relativeTime, robustness } = options;
  if (cases === undefined) throw new WrongCall('The bundle does not name the cases of its library: it cannot be made anew.');
  const store = await openStore(library);
  try {
    const pool = createAnalysisPool({ size: 1, workerUrl, productVersion, onWorkerLost: () => undefined });
    try {
      const { zip } = await writeLibraryBundle(
        { store, pool, casesAtOnce: 1, closing: signal, productVersion, tell: (stage, done, total) => display.show(stage, done, total) },
        { caseKeys: cases, options: cohort, relativeTime, robustness, withReviews: files.some(({ file }) => file === tableName(REVIEWS_FILE_NAME)), parameters, lastSaid },
        signal,
      );
      return await new Promise((resolve, reject) => unzip(zip, (error, unpacked) => (error === null ? resolve(new Map(Object.entries(unpacked))) : reject(error))));
    } finally {
      await pool.dispose();
    }
  } finally {
    await store.close();
  }
}

async function openStore(library: string) {
  try {
    if (await isLibraryFile(library)) return await openLibraryFile(library, await askPassphrase('Passphrase of the library', PASSPHRASE_VARIABLE, { twice: false }), {});
    if ((await stat(library).catch(() => null))?.isDirectory() !== true) throw new FailureError({ code: 'library-missing', message: `There is no library ${library}.`, remedy: 'Name the folder of a library, or the file of an encrypted one.' });
    return await openFolderStore(library);
  } catch (error) {
    const { code, message, remedy } = toFailure(error);
    if (code === 'internal') throw error;
    throw new WrongCall([message, remedy].filter(Boolean).join(' '));
  }
}
