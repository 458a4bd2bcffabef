import { join } from 'node:path';
import { shownPath, type Door } from '../../core/identity/shown-path.ts';
import type { FileReport, RejectedRow } from '../../core/model/import-report.ts';
import { rejectedRowsOf } from '../../core/worker/shelf-file.ts';
import type { AnalysisPool, ReadImport } from '../host/analysis-pool.ts';
import { unreadReport } from '../host/analysis-pool.ts';
import type { FoundInputs } from './find-inputs.ts';

/** More workers than this are started only when asked for. */
export const DEFAULT_MAX_WORKERS = 8;

/** Returns shelves in a folder that lasts as long as the run: nothing is known from before, and nothing is kept for later. */
export function shelvesIn(folder: string): Parameters<AnalysisPool['readFiles']>[2] {
  return { pathOf: (place) => join(folder, `${place}.shelf`), known: () => null, keep: () => Promise.resolve() };
}

/** Yields the rejected rows of all files by file, then line, those of one file at a time. */
export async function* rejectedRows({ readings, shelfPaths }: ReadImport): AsyncGenerator<RejectedRow> {
  const byName = new Map<string, number[]>();
  for (const [i, { report }] of readings.entries()) byName.set(report.file, [...(byName.get(report.file) ?? []), i]);
  for (const name of [...byName.keys()].sort()) {
    const rows: RejectedRow[] = [];
    for (const i of byName.get(name) ?? []) {
      const reading = readings[i];
      if (reading !== undefined) for (const row of await rejectedRowsOf(shelfPaths[i] ?? '', reading)) rows.push(row);
    }
    yield* rows.sort((a, b) => a.line - b.line);
  }
}

/** Returns a report for everything under an input that cannot be read as a file. */
export function unreadableReports({ unreadable }: FoundInputs, door: Door): FileReport[] {
  return unreadable.map(({ relativePath, message, remedy }) => unreadReport(shownPath(relativePath, door), 0, { code: 'file-unreadable', message, remedy }));
}
