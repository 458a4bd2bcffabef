import type { RejectedRow } from '../model/import-report.ts';
import type { ImportOptions, ImportOutcome } from '../readers/reader.ts';
import type { FileReading } from '../readers/reading.ts';
import { buildPlannedCase, type BuiltCase } from './build-planned-case.ts';
import { completeReports } from './complete-reports.ts';
import { planCases } from './plan-cases.ts';

/**
 * Returns the cases that readings make together, and the complete report of every file, all in memory: planned by
 * `plan-cases.ts`, built by `build-planned-case.ts`. Where a disk is at hand these are called one case at a time instead.
 * Shape   the readings are not shelved and their arrays not modified. The result depends on the readings alone, not on their
 *         order, except that `files` and `rejectedRows` keep it.
 * Errors  never throws for bad input.
 */
export function assembleCases(readings: readonly FileReading[], options: ImportOptions): ImportOutcome {
  const plan = planCases(readings);
  const built: BuiltCase[] = [];
  for (const planned of plan.cases) {
    options.signal?.throwIfAborted();
    const parts = planned.parts.flatMap(({ file, reading }) => {
      const from = readings[file];
      const own = from?.cases[reading];
      return from === undefined || own === undefined ? [] : [{ file: from, reading: own }];
    });
    built.push(buildPlannedCase(planned, parts));
  }
  const cases = built.map(({ record }) => record).sort((a, b) => (a.caseId < b.caseId ? -1 : a.caseId > b.caseId ? 1 : 0));
  const rejectedRows: RejectedRow[] = [];
  for (const file of readings) for (const row of file.rejectedRows) rejectedRows.push(row);
  return { cases, files: completeReports(readings, plan, built), rejectedRows };
}
