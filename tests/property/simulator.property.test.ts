/*
 * Known truth against the whole way from bytes to dropouts. docs/testing.md says what the rows of a record can show.
 * LACUNA_SIMULATOR_SEEDS=2000 runs more, LACUNA_SIMULATOR_FIRST=1234 starts at another seed.
 */
import { expect, test } from 'vitest';
import { importFiles } from '../../core/pipeline/import-files.ts';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { plainImport } from '../builders/byte-source.ts';
import { complaints, runsShown } from '../simulator/oracle.ts';
import { simulateExport, type SimulatedExport } from '../simulator/write-export.ts';

const SEEDS = Number(process.env.LACUNA_SIMULATOR_SEEDS ?? 240);
const FIRST = Number(process.env.LACUNA_SIMULATOR_FIRST ?? 1);
const BATCHES = 8;

async function wrongWith(made: SimulatedExport): Promise<string[]> {
  const outcome = await importFiles(made.sources, plainImport());
  const out: string[] = [];
  made.files.forEach((file, i) => {
    const report = outcome.files[i];
    if (report === undefined) return void out.push(`${file.path}: no report`);
    if (report.failure !== null) return void out.push(`${file.path}: ${report.failure.message}`);
    if (report.rows_read !== report.rows_accepted + report.rows_rejected) out.push(`${file.path}: rows are not conserved`);
    if (report.rows_accepted < file.goodRows) out.push(`${file.path}: ${file.goodRows} rows hold something, ${report.rows_accepted} accepted; ${report.rejected.map((r) => `${r.count} × ${r.reason}`).join('; ')}`);
    const rejected = new Set(outcome.rejectedRows.filter((r) => r.file === report.file).map((r) => r.line));
    for (const line of file.badLines) if (!rejected.has(line)) out.push(`${file.path}: line ${line} should be rejected`);
  });
  for (const truth of made.cases) {
    const record = outcome.cases.find((c) => c.caseId === truth.caseId);
    if (record === undefined) {
      out.push(`no case ${truth.caseId}; found ${outcome.cases.map((c) => c.caseId).join(', ')}`);
      continue;
    }
    out.push(...complaints(truth, analyzeCase(record, DEFAULT_PARAMETERS, 'test')).map((text) => `${truth.caseId} ${text}`));
  }
  return out;
}

for (let batch = 0; batch < BATCHES; batch++) {
  const from = FIRST + Math.floor((SEEDS * batch) / BATCHES);
  const to = FIRST + Math.floor((SEEDS * (batch + 1)) / BATCHES);
  test(`every dropout that the rows can show is found, its true length inside its bounds, none invented, rows conserved, links as expected (seeds ${from} to ${to - 1})`, async () => {
    const failures: string[] = [];
    let runs = 0;
    for (let seed = from; seed < to; seed++) {
      const made = simulateExport(seed);
      runs += made.cases.reduce((sum, c) => sum + c.sites.reduce((n, s) => n + runsShown(c, s).length, 0), 0);
      const wrong = await wrongWith(made);
      if (wrong.length > 0) failures.push(`seed ${seed} ${JSON.stringify(made.style)}\n    ${wrong.slice(0, 6).join('\n    ')}`);
    }
    if (to - from >= 20) expect(runs, 'the simulator made no losses').toBeGreaterThan(to - from);
    expect(failures.join('\n'), `${failures.length} of ${to - from} seeds`).toBe('');
  }, 600_000);
}
