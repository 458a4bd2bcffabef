import { createHash } from 'node:crypto';
import { createReadStream, statSync } from 'node:fs';
import Papa from 'papaparse';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { importFiles } from '../../core/pipeline/import-files.ts';
import type { ByteSource } from '../../core/readers/reader.ts';

/*
 * Run in a process of its own, one task per process, so that the peak memory printed is that task's:
 *   node reading.bench.js papa|import FILE
 * Prints one JSON line: seconds, megabytes, peak resident memory, and what was read.
 */
const [task, path] = process.argv.slice(2);
if (path === undefined || (task !== 'papa' && task !== 'import')) throw new Error('usage: papa|import FILE');
const byteLength = statSync(path).size;

function peakMb(): number {
  return Math.round(process.resourceUsage().maxRSS / 1024);
}

async function barePapa(file: string): Promise<number> {
  let cells = 0;
  await new Promise<void>((resolve, reject) => {
    Papa.parse(createReadStream(file, { encoding: 'utf8', highWaterMark: 1 << 20 }), {
      delimiter: ',',
      chunk: (results: Papa.ParseResult<string[]>) => {
        for (const row of results.data) cells += row.length;
      },
      complete: () => resolve(),
      error: reject,
    });
  });
  return cells;
}

const source: ByteSource = {
  relativePath: 'bench.csv',
  folderName: 'bench',
  byteLength,
  open: () => createReadStream(path, { highWaterMark: 1 << 20 }),
};

const begin = performance.now();
if (task === 'papa') {
  const cells = await barePapa(path);
  console.log(JSON.stringify({ task, seconds: (performance.now() - begin) / 1000, megabytes: byteLength / 1e6, peakMb: peakMb(), cells }));
} else {
  const outcome = await importFiles([source], {
    zone: 'UTC',
    mapping: null,
    keepIdentifiers: false,
    pseudonymOf: (identity) => createHash('sha256').update(identity).digest('hex').slice(0, 10),
    createDigest: () => {
      const hash = createHash('sha256');
      return { update: (bytes) => void hash.update(bytes), hex: () => hash.digest('hex') };
    },
  });
  const seconds = (performance.now() - begin) / 1000;
  const memory = peakMb();
  let samples = 0;
  for (const record of outcome.cases) for (const channel of record.channels) samples += channel.tMs.length;
  const analysisBegin = performance.now();
  let dropouts = 0;
  for (const record of outcome.cases) {
    for (const site of analyzeCase(record, DEFAULT_PARAMETERS, 'bench').sites) dropouts += site.dropouts.length;
  }
  console.log(
    JSON.stringify({
      task,
      seconds,
      megabytes: byteLength / 1e6,
      peakMb: memory,
      rows: outcome.files[0]?.rows_read,
      rejected: outcome.files[0]?.rows_rejected,
      samples,
      cases: outcome.cases.length,
      dropouts,
      analysisSeconds: (performance.now() - analysisBegin) / 1000,
    }),
  );
}
