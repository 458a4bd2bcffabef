import { readFileSync } from 'node:fs';
import { mkdir, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { CohortCase } from '../../core/model/cohort-case.ts';
import { DEFAULT_COHORT_OPTIONS } from '../../core/model/cohort-options.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { encodeCase } from '../../core/persist/case-bytes.ts';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { cohortFileNames, cohortFiles } from '../../core/report/cohort-files.ts';
import { createAnalysisPool } from '../../electron/host/analysis-pool.ts';
import { inTurns } from '../../electron/host/in-turns.ts';
import { seededRandom } from '../simulator/random.ts';
import { makeTrueCase } from '../simulator/true-case.ts';
import { recordOf } from '../simulator/true-record.ts';

/*
 * Run in a process of its own, so that the memory is that of the pool and its two workers, which are threads of it:
 *   node cohort.bench.js ROOT FOLDER CASES
 * From stored cases with their analyses to every table of a cohort, 2,000 draws, written to FOLDER; prints one JSON line: seconds of
 * each stage, and the peak of the resident memory as the system counts it.
 */
const [root, folder, casesText] = process.argv.slice(2);
if (root === undefined || folder === undefined || casesText === undefined) throw new Error('usage: ROOT FOLDER CASES');
const count = Number(casesText);
/** So many different cases are made; the cohort takes each again and again, under a new name, month and room. */
const DIFFERENT = 100;

/** Peak of the resident memory of this process so far; where the system has no such file, what Node knows of it. */
function peakMb(): number {
  try {
    return Math.round(Number(/VmHWM:\s+(\d+) kB/.exec(readFileSync('/proc/self/status', 'utf8'))?.[1]) / 1024);
  } catch {
    return Math.round(process.resourceUsage().maxRSS / 1024);
  }
}

const stored = Array.from({ length: Math.min(DIFFERENT, count) }, (_, i) => {
  const random = seededRandom(9000 + i);
  const record = recordOf(random, makeTrueCase(random, `case ${i}`, { sites: [['finger'], ['finger', 'ear lobe'], ['finger', 'nasal ala']], intervalChange: false, rowsMayBeAbsent: false }), null);
  return { bytes: encodeCase(record, analyzeCase(record, DEFAULT_PARAMETERS, 'bench')), rows: record.channels[0]?.tMs.length ?? 0 };
});
const startMb = peakMb();

const pool = createAnalysisPool({ size: 2, workerUrl: new URL('dist/worker/analysis.worker.js', pathToFileURL(`${root}/`)), productVersion: 'bench' });
const began = performance.now();
const since = (): number => Math.round((performance.now() - began) / 100) / 10;
const cases: CohortCase[] = [];
await inTurns(Array.from({ length: count }, (_, i) => i), 2, async (i) => {
  const bytes = stored[i % stored.length]?.bytes;
  if (bytes === undefined) return;
  const answer = await pool.cohortCase(Uint8Array.from(bytes), String(i), DEFAULT_PARAMETERS, null);
  if (!answer.ok) throw new Error(answer.failure.message);
  const month = i % 36;
  const date = `${2031 + Math.floor(month / 12)}-${String((month % 12) + 1).padStart(2, '0')}-15`;
  cases.push({ ...answer.value, caseId: `case ${String(i).padStart(6, '0')}`, date, startedAtMs: Date.parse(date), attributes: { room: String(i % 12), service: ['vascular', 'thoracic', 'general'][i % 3] ?? '' } });
});
const read = { seconds: since(), peakMb: peakMb() };
const options = { ...DEFAULT_COHORT_OPTIONS, groupBy: { kind: 'column', column: 'room' } as const };
const worked = await pool.cohortExport(cases, [], options, DEFAULT_PARAMETERS);
if (!worked.ok) throw new Error(worked.failure.message);
const workedOut = { seconds: since(), peakMb: peakMb() };
const settings = { productVersion: 'bench', parameters: DEFAULT_PARAMETERS, zone: null, mapping: null, keepIdentifiers: false, pseudonyms: 'key from the input', relativeTime: false, written: cohortFileNames({ withCaseList: false }), cohort: options } as const;
await mkdir(folder, { recursive: true });
let bytesWritten = 0;
for (const { name, text } of cohortFiles({ run: worked.value, settings, files: [], rejectedRows: [], unanalyzed: [], caseList: null })) {
  const pieces: string[] = [];
  for await (const piece of text) pieces.push(piece);
  const whole = pieces.join('');
  bytesWritten += Buffer.byteLength(whole);
  await writeFile(join(folder, name), whole);
}
const written = { seconds: since(), peakMb: peakMb() };
await pool.dispose();
await rm(folder, { recursive: true, force: true });
const dropouts = cases.reduce((sum, { sites }) => sum + sites.reduce((own, { any }) => own + any.dropouts.length, 0), 0);
console.log(JSON.stringify({ cases: cases.length, dropouts, rowsPerCase: Math.round(stored.reduce((sum, { rows }) => sum + rows, 0) / stored.length), draws: options.draws, startMb, read, workedOut, written, megabytes: bytesWritten / 1e6 }));
