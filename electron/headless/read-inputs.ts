import { availableParallelism } from 'node:os';
import { shownMapping } from '../../core/identity/shown-mapping.ts';
import type { FileReport } from '../../core/model/import-report.ts';
import type { CaseRemarks } from '../../core/pipeline/complete-reports.ts';
import type { RunSettings } from '../../core/report/parameters-file.ts';
import { pseudonymsOf } from '../../core/worker/pseudonyms.ts';
import { createAnalysisPool, type AnalysisPool, type ReadImport } from '../host/analysis-pool.ts';
import type { ReadingCall } from './command-line.ts';
import { findInputs } from './find-inputs.ts';
import { openOutputFolder, type OutputFolder } from './output-folder.ts';
import type { ProgressDisplay } from './progress-display.ts';
import { keyFromInputs, readPseudonymKey } from './pseudonym-key.ts';
import { checkedZone, readMapping, readParameters } from './read-settings.ts';
import { DEFAULT_MAX_WORKERS, shelvesIn, unreadableReports } from './reading.ts';

export interface RunSurroundings {
  readonly display: ProgressDisplay;
  readonly signal: AbortSignal;
  readonly workerUrl: URL;
  readonly productVersion: string;
}

/** Inputs that were read, and what their cases are worked out with. */
export interface InputsRead {
  readonly pool: AnalysisPool;
  readonly read: ReadImport;
  /** Workers, and so cases at a time. */
  readonly size: number;
  readonly out: OutputFolder;
  readonly pseudonymKey: string;
  /** As they may be shown. */
  readonly shownSettings: RunSettings;
  /** Returns the report of every file, with what its cases remark, in the order of the plan; null: the case was not worked out. */
  reports(remarks: readonly (CaseRemarks | null)[]): Promise<readonly FileReport[]>;
}

/** Returns what a call states on the command line. Errors  throws WrongCall. */
export async function readRunSettings(call: ReadingCall, productVersion: string): Promise<Omit<RunSettings, 'relativeTime' | 'written'>> {
  return {
    productVersion,
    parameters: await readParameters(call.parameters),
    zone: checkedZone(call.zone),
    mapping: await readMapping(call.mapping),
    keepIdentifiers: call.keepIdentifiers,
    pseudonyms: call.pseudonymKey === undefined ? 'key from the input' : 'key from a file',
  };
}

/**
 * Reads the inputs of a call and returns what `work` makes of them; the pool and what is not written are gone by then.
 * Errors  throws WrongCall when the call itself is wrong, the signal's reason when interrupted; else what `work` throws.
 */
export async function withInputsRead<T>(call: ReadingCall, settings: RunSettings, { display, signal, workerUrl, productVersion }: RunSurroundings, work: (given: InputsRead) => Promise<T>): Promise<T> {
  const statedKey = await readPseudonymKey(call.pseudonymKey);
  const inputs = await findInputs(call.inputs, call.out);
  for (const note of inputs.notes) display.say(note);
  const out = await openOutputFolder(call.out);
  const size = call.workers ?? Math.min(availableParallelism(), DEFAULT_MAX_WORKERS);
  const pool = createAnalysisPool({ size, workerUrl, productVersion, onWorkerLost: (failure) => display.say(failure.message) });
  try {
    display.say(`${inputs.files.length} ${inputs.files.length === 1 ? 'file' : 'files'} to read`);
    const pseudonymKey = statedKey ?? (await keyFromInputs(inputs.files));
    const read = await pool.readFiles(inputs.files, { ...settings, pseudonymKey }, shelvesIn(out.scratchFolder), {
      signal,
      onProgress: ({ bytesDone, bytesTotal }) => display.show('reading', bytesDone, bytesTotal),
    });
    const door = { keepIdentifiers: call.keepIdentifiers, pseudonymOf: pseudonymsOf(pseudonymKey) };
    const shownSettings = { ...settings, mapping: settings.mapping === null ? null : shownMapping(settings.mapping, door) };
    const reports = async (remarks: readonly (CaseRemarks | null)[]): Promise<readonly FileReport[]> => [...(await pool.completeReports(read, remarks, { signal })), ...unreadableReports(inputs, door)];
    return await work({ pool, read, size, out, pseudonymKey, shownSettings, reports });
  } finally {
    display.end();
    await pool.dispose();
    await out.discard();
  }
}
