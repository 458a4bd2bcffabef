import { readFile } from 'node:fs/promises';
import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import { createAnalysisPool } from './analysis-pool.ts';
import type { CaseStore } from './case-store.ts';
import { openFolderStore } from './folder-case-store.ts';
import { createHost } from './host.ts';
import type { Host, HostOptions } from './host.ts';
import { defaultLibraryFolder } from './library-folder.ts';
import { importSamplesOnce } from './sample-import.ts';

export interface StartHostOptions {
  /** null: the user's own library, which is filled with the sample cases when it is new. */
  readonly libraryFolder: string | null;
  /** A library that is open already, in place of one that is a folder. */
  readonly openLibrary?: CaseStore | undefined;
  readonly door: HostOptions['door'];
  /** The folder that holds package.json, dist/ and sample-cases/. */
  readonly root: URL;
}

export interface StartedHost {
  readonly host: Host;
  readonly store: CaseStore;
  /** Ends with the sample cases in a new library and every pending analysis done; never rejects. */
  readonly settled: Promise<void>;
}

/** Returns the host over the chosen library, with its workers; both doors start it this way. */
export async function startHost(options: StartHostOptions, reportProblem: (error: unknown) => void): Promise<StartedHost> {
  const version = await productVersionOf(options.root);
  const store = options.openLibrary ?? await openFolderStore(options.libraryFolder ?? defaultLibraryFolder(process.env, process.platform));
  // One core is left to the host and the page.
  const size = Math.max(1, availableParallelism() - 1);
  const host = createHost({
    store,
    productVersion: version,
    door: options.door,
    samplesFolder: fileURLToPath(new URL('sample-cases/cases/', options.root)),
    casesAtOnce: size,
    startPool: (onWorkerLost) => createAnalysisPool({ size, workerUrl: new URL('dist/worker/analysis.worker.js', options.root), productVersion: version, onWorkerLost }),
  });
  const settle = async (): Promise<void> => {
    if (options.libraryFolder === null) await importSamplesOnce(host, store);
    await host.finishReanalysis();
  };
  return { host, store, settled: settle().catch(reportProblem) };
}

/** Returns the version in the package.json below `root`. */
export async function productVersionOf(root: URL): Promise<string> {
  const { version } = JSON.parse(await readFile(new URL('package.json', root), 'utf8')) as { version: string }; // our own file
  return version;
}
