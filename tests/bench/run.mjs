/*
 * npm run bench: times what the program promises and writes the figures, with machine and date, to docs/speed.md.
 * Each task runs in a process of its own. No assertion on time is made anywhere: figures are for reading.
 *   npm run bench -- reading|opening|drawing   runs one part and prints it without touching docs/speed.md
 *   npm run bench -- large                     takes in an export of 2,000 cases, 2 GB, and writes its own section of docs/speed.md;
 *                                              it needs 8 GB of disk and is left out of a run of all parts
 *   npm run bench -- cohort [CASES]            works out a cohort of 10,000 (or CASES) analysed cases and writes its own section of
 *                                              docs/speed.md; left out of a run of all parts, and printed only with another number
 *   npm run bench -- queue [CASES]             the first queue of dropouts over a library of 1,000 (or CASES) cases, 1.5 GB, and the one
 *                                              after another start; printed only, and left out of a run of all parts
 */
import { execFile } from 'node:child_process';
import { mkdir, mkdtemp, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { cpus, loadavg, tmpdir, totalmem } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { rolldown } from 'rolldown';
import { measureDrawing } from './draw.bench.mjs';
import { measureOpening } from './open.bench.mjs';

const run = promisify(execFile);
const here = dirname(fileURLToPath(import.meta.url));
const root = join(here, '..', '..');
const built = join(root, 'dist', 'bench');
const RUNS = 3;
const MEGABYTES = 200;

async function bundle(name) {
  const bundleOfOne = await rolldown({ input: join(here, `${name}.ts`), platform: 'node', external: [/^node:/] });
  await bundleOfOne.write({ file: join(built, `${name}.js`), format: 'esm', codeSplitting: false });
  await bundleOfOne.close();
  return join(built, `${name}.js`);
}

function median(values) {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)];
}

async function lastJsonLine(command, args) {
  const { stdout } = await run(command, args, { maxBuffer: 1 << 24 });
  return JSON.parse(stdout.trim().split('\n').at(-1));
}

async function reading(folder) {
  const script = await bundle('reading.bench');
  const maker = await import(`file://${await bundle('make-exports')}`);
  const rows = ['| export | read by | MB/s (median, min to max) | peak memory | rows | share of bare Papa Parse |', '| --- | --- | --- | --- | --- | --- |'];
  const analysis = [];
  for (const layout of ['wide', 'long']) {
    const path = join(folder, `${layout}.csv`);
    await maker.writeExport(path, layout, { megabytes: MEGABYTES });
    const speeds = { papa: [], import: [] };
    let last = null;
    const memory = { papa: 0, import: 0 };
    // In turn, so that a machine that slows down slows both.
    for (let i = 0; i < RUNS; i += 1) {
      for (const task of ['papa', 'import']) {
        const figures = await lastJsonLine(process.execPath, [script, task, path]);
        speeds[task].push(figures.megabytes / figures.seconds);
        memory[task] = Math.max(memory[task], figures.peakMb);
        if (task === 'import') last = figures;
      }
    }
    const show = (task) => `${median(speeds[task]).toFixed(1)} (${Math.min(...speeds[task]).toFixed(1)} to ${Math.max(...speeds[task]).toFixed(1)})`;
    rows.push(`| ${layout}, ${MEGABYTES} MB | bare Papa Parse, cells counted | ${show('papa')} | ${memory.papa} MB | | 1 |`);
    rows.push(`| ${layout}, ${MEGABYTES} MB | Lacuna, into typed arrays | ${show('import')} | ${memory.import} MB | ${last.rows} | ${(median(speeds.import) / median(speeds.papa)).toFixed(2)} |`);
    analysis.push(`| ${layout} | ${last.cases} | ${(last.samples / 1e6).toFixed(1)} M | ${last.dropouts} | ${((last.analysisSeconds * 1000) / (last.samples / 1e6)).toFixed(0)} ms |`);
    await rm(path);
  }
  return [
    '## Reading a long trend export\n',
    ...rows,
    '\n## Analysis\n',
    '| export | cases | samples | dropouts found | time per million samples |',
    '| --- | --- | --- | --- | --- |',
    ...analysis,
  ].join('\n');
}

async function opening(folder) {
  const maker = await import(`file://${await bundle('make-exports')}`);
  const caseFolder = join(folder, 'ten-hours');
  await mkdir(caseFolder);
  await maker.writeExport(join(caseFolder, 'trend.csv'), 'wide', { seconds: 36_000 });
  const { timesMs, dragMs, browser } = await measureOpening(caseFolder, join(folder, 'library'));
  return [
    '## Opening a case of 10 hours at 1 Hz with 8 channels\n',
    `From the click in the library to the drawn timeline, over the loopback door, Chromium ${browser}, 1600 × 1000.\n`,
    '| median | min to max | runs |',
    '| --- | --- | --- |',
    `| ${median(timesMs).toFixed(0)} ms | ${Math.min(...timesMs).toFixed(0)} to ${Math.max(...timesMs).toFixed(0)} ms | ${timesMs.length}, one warm-up before |`,
    '\n## Dragging a definition over the same case\n',
    'From the slider’s event to the next frame, the dropout list and the curve worked out anew at every step.\n',
    '| median | min to max | steps |',
    '| --- | --- | --- |',
    `| ${median(dragMs).toFixed(0)} ms | ${Math.min(...dragMs).toFixed(0)} to ${Math.max(...dragMs).toFixed(0)} ms | ${dragMs.length} |`,
  ].join('\n');
}

async function drawing() {
  const { browser, viewport, rendering, figures } = await measureDrawing();
  return [
    '## Drawing, panning and zooming\n',
    `Chromium ${browser}, ${viewport}, ${rendering} rendering, first draws medians of 9, the rest of 3.\n`,
    '| case | first draw | pan | zoom | cursor |',
    '| --- | --- | --- | --- | --- |',
    ...figures.map((f) => `| ${f.case} | ${f.firstDrawMs} ms (${f.firstDrawsMs.join(', ')}) | ${f.panPerSec} frames/s | ${f.zoomPerSec} frames/s | ${f.cursorPerSec} frames/s |`),
  ].join('\n');
}

const LARGE_HEADING = '## Importing a large export';

async function large(folder) {
  const script = await bundle('large.bench');
  const maker = await import(`file://${await bundle('make-exports')}`);
  const path = join(folder, 'export.csv');
  const made = await maker.writeManyCases(path, { cases: 2000, megabytes: 2000, rooms: 4 });
  const { build } = await import('../../electron/launch/build.mjs');
  await build();
  const load = loadavg()[0];
  const figures = await lastJsonLine(process.execPath, [script, root, join(folder, 'library'), path]);
  const stages = ['staging', 'reading', 'analysing', 'writing'].filter((stage) => figures.ends[stage] !== undefined);
  const began = (stage) => figures.ends[stages[stages.indexOf(stage) - 1]]?.seconds ?? 0;
  return [
    `${LARGE_HEADING}\n`,
    `A long export of ${(made.bytes / 1e6).toFixed(0)} MB with ${made.rows} rows of ${figures.cases} cases, four of them at a time, the last rows of each out of order at its end; staged, read, analysed and stored`,
    `in a library through the host with its workers, one process. ${new Date().toISOString().slice(0, 10)}; load of the machine when it began: ${load.toFixed(1)} on ${cpus().length} processors${load > 1 ? ' (others were working on it: the times are too long, the memory is not)' : ''}.\n`,
    '| stage | time | peak memory up to its end |',
    '| --- | --- | --- |',
    ...stages.map((stage) => `| ${stage} | ${(figures.ends[stage].seconds - began(stage)).toFixed(0)} s | ${figures.ends[stage].peakMb} MB |`),
    `| all | ${figures.seconds.toFixed(0)} s (${(figures.megabytes / figures.seconds).toFixed(1)} MB/s) | ${figures.peakMb} MB |`,
    `\n${figures.rows} rows read, ${figures.rejected} rejected; ${figures.stored} cases stored in ${figures.storedMb} MB, ${figures.dropouts} dropouts found; progress told ${figures.told} times.`,
  ].join('\n');
}

const COHORT_HEADING = '## A cohort';
const COHORT_CASES = 10_000;

async function cohort(folder) {
  const script = await bundle('cohort.bench');
  const { build } = await import('../../electron/launch/build.mjs');
  await build();
  const load = loadavg()[0];
  const figures = await lastJsonLine(process.execPath, [script, root, join(folder, 'tables'), String(cohortCases)]);
  const { read, workedOut, written } = figures;
  return [
    `${COHORT_HEADING}\n`,
    `From ${figures.cases} stored cases with their analyses (${figures.rowsPerCase} rows and ${(figures.dropouts / figures.cases).toFixed(1)} dropouts each) to every table of \`lacuna cohort\`: ${figures.draws} draws,`,
    `36 months, 12 rooms, 16 definitions; two workers, one process. ${new Date().toISOString().slice(0, 10)}; load of the machine when it began: ${load.toFixed(1)} on ${cpus().length} processors${load > 1 ? ' (others were working on it: the times are too long, the memory is not)' : ''}.\n`,
    '| stage | time | peak memory up to its end |',
    '| --- | --- | --- |',
    `| what each case gives | ${read.seconds.toFixed(0)} s | ${read.peakMb} MB |`,
    `| results | ${(workedOut.seconds - read.seconds).toFixed(0)} s | ${workedOut.peakMb} MB |`,
    `| tables, ${figures.megabytes.toFixed(0)} MB | ${(written.seconds - workedOut.seconds).toFixed(0)} s | ${written.peakMb} MB |`,
    `| all | ${written.seconds.toFixed(0)} s | ${written.peakMb} MB |`,
  ].join('\n');
}

/** Returns a text with a section of its own put in place of the one that is there, the other such section left alone. */
function withOwn(text, heading, section) {
  const others = [LARGE_HEADING, COHORT_HEADING].filter((one) => one !== heading);
  const at = text.indexOf(`\n${heading}`);
  if (at === -1) return `${text.trimEnd()}\n\n${section.trimEnd()}\n`;
  const after = others.map((one) => text.indexOf(`\n${one}`)).filter((place) => place > at).sort((a, b) => a - b)[0];
  return `${text.slice(0, at).trimEnd()}\n\n${section.trimEnd()}\n${after === undefined ? '' : text.slice(after)}`;
}

const only = process.argv[2];
/** Returns the figures of queues as one line. */
async function queue(folder) {
  const figures = await lastJsonLine(process.execPath, [await bundle('queue.bench'), root, join(folder, 'library'), only === 'queue' && process.argv[3] !== undefined ? process.argv[3] : '1000']);
  return `${JSON.stringify(figures)}\n`;
}

const cohortCases = only === 'cohort' && process.argv[3] !== undefined ? Number(process.argv[3]) : COHORT_CASES;
const ON_THEIR_OWN = ['large', 'cohort', 'queue'];
const parts = { reading, opening, drawing, large, cohort, queue };
if (only !== undefined && !(only in parts)) {
  console.error(`There is no part "${only}". Parts: ${Object.keys(parts).join(', ')}.`);
  process.exit(2);
}
await mkdir(built, { recursive: true });
const folder = await mkdtemp(join(tmpdir(), 'lacuna-bench-'));
try {
  const sections = [];
  for (const [name, part] of Object.entries(parts)) {
    if (only === undefined ? ON_THEIR_OWN.includes(name) : only !== name) continue;
    console.error(`bench: ${name} …`);
    const text = await part(folder);
    console.log(`${text}\n`);
    sections.push(text);
  }
  const target = join(root, 'docs', 'speed.md');
  const earlier = await readFile(target, 'utf8').catch(() => '');
  if (only === 'large') await writeFile(target, withOwn(earlier, LARGE_HEADING, sections.join('')));
  if (only === 'cohort' && cohortCases === COHORT_CASES) await writeFile(target, withOwn(earlier, COHORT_HEADING, sections.join('')));
  if (only === undefined) {
    const version = JSON.parse(await readFile(join(root, 'package.json'), 'utf8')).version;
    const cpu = cpus()[0]?.model.trim() ?? 'unknown processor';
    const head = [
      '# Speed',
      '',
      'Written by `npm run bench`; medians of several runs, each in a process of its own. Machines differ and share their time with others:',
      'read the ratios before the absolute figures.',
      '',
      `Version ${version}, ${new Date().toISOString().slice(0, 10)}, Node ${process.version}, ${cpus().length} × ${cpu}, ${Math.round(totalmem() / 2 ** 30)} GB, software rendering.`,
      '',
    ];
    const at = [LARGE_HEADING, COHORT_HEADING].map((heading) => earlier.indexOf(heading)).filter((place) => place !== -1);
    const text = `${head.join('\n')}\n${sections.join('\n\n')}\n`;
    await writeFile(target, at.length === 0 ? text : `${text.trimEnd()}\n\n${earlier.slice(Math.min(...at))}`);
    console.error(`bench: wrote docs/speed.md (${(await stat(target)).size} bytes)`);
  }
} finally {
  await rm(folder, { recursive: true, force: true });
}
