import type { ChildProcessWithoutNullStreams } from 'node:child_process';
import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { cp, mkdir, mkdtemp, readFile, readdir, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Papa from 'papaparse';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { FileReport } from '../../core/model/import-report.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { twoClockCase } from '../builders/two-clock-case.ts';
import { COHORT_FILE_NAMES } from '../../core/report/cohort-files.ts';
import { REPORT_FILE_NAMES } from '../../core/report/report-files.ts';

/** A copy of the built program, so that a build in the middle of a test cannot put another one in its place. */
let program: string;
let programFolder: string;
beforeAll(async () => {
  programFolder = await mkdtemp(join(tmpdir(), 'lacuna-program-'));
  for (const part of ['headless', 'worker']) await cp(fileURLToPath(new URL(`../../dist/${part}`, import.meta.url)), join(programFolder, part), { recursive: true });
  await writeFile(join(programFolder, 'package.json'), '{ "type": "module" }');
  program = join(programFolder, 'headless/main.js');
});
afterAll(async () => {
  await rm(programFolder, { recursive: true, force: true });
});

let top: string;
beforeEach(async () => {
  top = await mkdtemp(join(tmpdir(), 'lacuna-run-'));
});
afterEach(async () => {
  await rm(top, { recursive: true, force: true });
});

async function put(path: string, content: string | Uint8Array): Promise<void> {
  await mkdir(dirname(join(top, path)), { recursive: true });
  await writeFile(join(top, path), content);
}

interface Ended {
  readonly code: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

function start(...args: string[]): ChildProcessWithoutNullStreams {
  return spawn(process.execPath, [program, ...args], { cwd: top });
}

function ended(child: ChildProcessWithoutNullStreams): Promise<Ended> {
  let stdout = '';
  let stderr = '';
  child.stdout.on('data', (chunk: Buffer) => (stdout += chunk.toString()));
  child.stderr.on('data', (chunk: Buffer) => (stderr += chunk.toString()));
  return new Promise((resolve) => child.on('close', (code) => resolve({ code, stdout, stderr })));
}

const analyse = (...args: string[]): Promise<Ended> => ended(start('analyse', ...args));

type Row = Record<string, string>;
async function table(out: string, name: string): Promise<Row[]> {
  return Papa.parse<Row>(await readFile(join(top, out, name), 'utf8'), { header: true, skipEmptyLines: true, newline: '\r\n' }).data;
}
async function reportOf(out: string): Promise<FileReport[]> {
  return JSON.parse(await readFile(join(top, out, 'import-report.json'), 'utf8')) as FileReport[];
}
async function bytesOf(out: string): Promise<Record<string, string>> {
  const names = (await readdir(join(top, out))).sort();
  return Object.fromEntries(await Promise.all(names.map(async (name) => [name, await readFile(join(top, out, name), 'utf8')] as const)));
}

const clock = (second: number): string => new Date(Date.UTC(2031, 3, 3, 8, 0, second)).toISOString().slice(0, 19);

/** A wide export at 10 s, ten minutes long; SpO2 at the finger lost in the given seconds (inclusive). */
function trends(lostFromS: number, lostToS: number): string {
  const lines = ['time,SpO2 finger (%),HR (/min),MAP (mmHg)'];
  for (let s = 0; s <= 600; s += 10) lines.push(`${clock(s)},${s >= lostFromS && s <= lostToS ? '' : 97},${70 + (s % 7)},${80 - (s % 5)}`);
  return `${lines.join('\n')}\n`;
}

async function putTwoCases(): Promise<void> {
  await put('in/Alder 1/trends.csv', trends(300, 360));
  await put('in/Alder 1/drugs.csv', `time,drug\n${clock(60)},phenylephrine 100 mcg IV\n`);
  await put('in/Birch 2/trends.csv', trends(300, 330));
}

describe('a file that is given twice', () => {
  it('counts once, and the report says where its content is used', async () => {
    await put('K1/trends.csv', trends(100, 200));
    await put('copy of it/renamed.csv', trends(100, 200));
    const { code } = await analyse(join(top, 'K1'), join(top, 'copy of it', 'renamed.csv'), '--out', 'out');
    expect(code).toBe(0);
    expect([...new Set((await table('out', 'cases.csv')).map((row) => row['case_id']))]).toHaveLength(1);
    expect((await table('out', 'dropouts.csv')).filter((row) => row['site'] === 'finger')).toHaveLength(1);
    expect((await reportOf('out')).flatMap((file) => file.notes).filter((note) => note.includes('was not used a second time'))).toHaveLength(1);
  });
});

describe('two devices with different clocks', () => {
  it('have their offset proposed in clock-offsets.csv, and agree once it is stated in a mapping', async () => {
    // The record keeper's clock is 95 s ahead of the oximeter's, by construction.
    for (const [name, text] of Object.entries(twoClockCase(95))) await put(`in/Cedar 4/${name}`, text);
    expect((await analyse('in', '--out', 'out')).code).toBe(0);
    const clockOf = async (source: string): Promise<Row | undefined> => (await table('out', 'clock-offsets.csv')).find((row) => row['source'] === source);
    const keeper = await clockOf('keeper.csv');
    expect(keeper).toMatchObject({ case_id: 'Cedar 4', against: 'oximeter.csv', verdict: 'proposed', set_s: '0', method: 'course' });
    expect(Math.abs(Number(keeper?.['offset_s']) + 95)).toBeLessThanOrEqual(12);
    expect(Number(keeper?.['low_s'])).toBeLessThanOrEqual(-95);
    expect(Number(keeper?.['high_s'])).toBeGreaterThanOrEqual(-95);
    expect(await clockOf('keeper-drugs.csv')).toMatchObject({ verdict: 'cannot be told', offset_s: '' });
    const clockOffsetS = Number(keeper?.['offset_s']);
    await put('m.json', JSON.stringify({ schema: 'lacuna-mapping/1', name: 'clocks', files: [{ match: { fileName: 'keeper*.csv' }, reading: { clockOffsetS } }] }));
    expect((await analyse('in', '--out', 'out', '--mapping', 'm.json')).code).toBe(0);
    expect(await clockOf('keeper.csv')).toMatchObject({ verdict: 'agrees', set_s: String(clockOffsetS) });
  });
});

describe('a mapping with a name of a person in it', () => {
  it('works, and leaves no name in any result', async () => {
    await put('in/Smith_John_0815.csv', trends(300, 360));
    await put('m.json', JSON.stringify({ schema: 'lacuna-mapping/1', name: 'own', files: [{ match: { fileName: 'Smith_John*.csv' }, reading: { caseId: 'John Smith', zone: 'Europe/Oslo' } }] }));
    expect((await analyse('in', '--out', 'out', '--mapping', 'm.json', '--robustness')).code).toBe(0);
    const parameters = JSON.parse(await readFile(join(top, 'out', 'parameters.json'), 'utf8')) as { mapping: { files: { reading: { caseId: string } }[] }; written: string[] };
    expect(Object.values(await bytesOf('out')).join('')).not.toMatch(/Smith|John/);
    expect(new Set((await table('out', 'cases.csv')).map((row) => row['case_id']))).toEqual(new Set([parameters.mapping.files[0]?.reading.caseId]));
    expect(parameters.written).toContain('robustness.csv');
    // The next run into the same folder makes no such table: the old one must not pass for its own.
    expect((await analyse('in', '--out', 'out', '--mapping', 'm.json', '--keep-identifiers')).code).toBe(0);
    expect((await readdir(join(top, 'out'))).sort()).toEqual([...REPORT_FILE_NAMES].sort());
    expect(await readFile(join(top, 'out', 'parameters.json'), 'utf8')).toContain('John Smith');
  });
});

describe('the headless run', () => {
  it('reads everything, writes every file, and exits with 0', async () => {
    await putTwoCases();
    const { code, stdout, stderr } = await analyse('in', '--out', 'out', '--zone', 'Europe/Berlin', '--json');
    expect(stderr).toContain('2 cases, 2 dropouts');
    expect(code).toBe(0);
    expect(JSON.parse(stdout)).toMatchObject({ exit_code: 0, files: 3, files_failed: 0, rows_rejected: 0, cases: 2, dropouts: 2 });
    expect((await readdir(join(top, 'out'))).sort()).toEqual([...REPORT_FILE_NAMES].sort());

    // Derived by hand: empty cells at 300 … 360 s at a 10-s interval: good at 290, lost from 300 to 360, good at 370.
    const dropouts = (await table('out', 'dropouts.csv')).filter((row) => row['site'] === 'finger');
    expect(dropouts.map((row) => [row['case_id'], row['last_good_s'], row['first_lost_s'], row['last_lost_s'], row['first_good_s'], row['lost_low_s'], row['lost_mid_s'], row['lost_high_s'], row['restored_by']])).toEqual([
      ['Alder 1', '290', '300', '360', '370', '60', '70', '80', 'same site'],
      ['Birch 2', '290', '300', '330', '340', '30', '40', '50', 'same site'],
    ]);
    expect(dropouts[0]?.['first_lost_at']).toBe('2031-04-03T08:05:00+02:00');
    // The bolus at 60 s; the onset lies between 290 and 300 s, its middle at 295 s: lead 235 s, inside the 600 s of phenylephrine.
    expect(await table('out', 'links.csv')).toMatchObject([{ case_id: 'Alder 1', dropout: '1', exposure: 'vasopressor bolus', label: 'phenylephrine', dose: '100', unit: 'ug', exposure_s: '60', lead_s: '235', certainty: 'certain', atc: 'C01CA06' }]);
  });

  it('keeps standard output empty without --json', async () => {
    await putTwoCases();
    expect((await analyse('in', '--out', 'out')).stdout).toBe('');
  });

  it('writes the same bytes again, with other numbers of workers, another order of inputs and another output folder', async () => {
    await putTwoCases();
    for (let i = 3; i < 9; i += 1) await put(`in/Case ${i}/trends.csv`, trends(20 * i, 20 * i + 40));
    await analyse('in/Birch 2', 'in/Alder 1', 'in', '--out', 'one', '--workers', '1');
    await analyse('in', '--out', 'two', '--workers', '3');
    await analyse('in', 'in/Alder 1', 'in/Birch 2', '--out', 'three', '--workers', '2');
    const first = await bytesOf('one');
    expect(Object.keys(first)).toHaveLength(REPORT_FILE_NAMES.length);
    expect(await bytesOf('two')).toEqual(first);
    expect(await bytesOf('three')).toEqual(first);
  });

  it('exits with 1 when rows were rejected, and accounts for every row', async () => {
    await putTwoCases();
    await put('in/Cedar 3/trends.csv', trends(120, 180).replace(clock(200), 'not a time').replace(clock(210), '31/31/2031 99:00'));
    const { code } = await analyse('in', '--out', 'out');
    expect(code).toBe(1);
    const report = await reportOf('out');
    for (const file of report) {
      expect(file.rows_read, file.file).toBe(file.rows_accepted + file.rows_rejected);
      expect(file.rejected.reduce((n, group) => n + group.count, 0), file.file).toBe(file.rows_rejected);
    }
    const cedar = report.find((file) => file.file === 'Cedar 3/trends.csv');
    expect(cedar).toMatchObject({ rows_read: 61, rows_rejected: 2 });
    const rejected = await table('out', 'rejected-rows.csv');
    expect(rejected.map((row) => [row['file'], row['line']])).toEqual([['Cedar 3/trends.csv', '22'], ['Cedar 3/trends.csv', '23']]);
    expect(rejected[0]?.['row']).toContain('not a time');
    expect((await table('out', 'cases.csv')).some((row) => row['case_id'] === 'Cedar 3' && row['dropouts'] === '1')).toBe(true);
  });

  it('exits with 1 when a file is no export, says so, and completes the rest', async () => {
    await putTwoCases();
    await put('in/Alder 1/picture.png', Uint8Array.from({ length: 3000 }, (_, i) => (i * 7919) % 256));
    await put('in/Alder 1/empty.csv', '');
    await symlink(join(top, 'gone.csv'), join(top, 'in/Birch 2/link.csv'));
    const { code, stderr } = await analyse('in', '--out', 'out');
    expect(code).toBe(1);
    expect(stderr).toContain('not read: Birch 2/link.csv');
    const report = await reportOf('out');
    expect(report.filter((file) => file.failure !== null).map((file) => file.file)).toEqual(['Alder 1/empty.csv', 'Alder 1/picture.png', 'Birch 2/link.csv']);
    for (const file of report) if (file.failure !== null) expect(file.failure.message).not.toBe('');
    expect((await table('out', 'dropouts.csv')).filter((row) => row['site'] === 'finger')).toHaveLength(2);
  });

  it('exits with 1 for a folder without a readable file, and still writes headings and report', async () => {
    await put('in/broken.csv', '\u0000\u0001\u0002');
    const { code } = await analyse('in', '--out', 'out');
    expect(code).toBe(1);
    expect((await readdir(join(top, 'out'))).sort()).toEqual([...REPORT_FILE_NAMES].sort());
    expect(await table('out', 'cases.csv')).toEqual([]);
    expect((await reportOf('out')).map((file) => [file.file, file.failure === null])).toEqual([['broken.csv', false]]);
  });

  it('exits with 1 for an empty folder', async () => {
    await mkdir(join(top, 'in'));
    const { code, stderr } = await analyse('in', '--out', 'out');
    expect(code).toBe(1);
    expect(stderr).toContain('No file was found.');
    expect(await reportOf('out')).toEqual([]);
  });

  it('uses the parameters of a file and writes them, with the digest of every input', async () => {
    await putTwoCases();
    await put('p.json', '{ "minDurationS": 60 }');
    await analyse('in', '--out', 'out', '--parameters', 'p.json');
    expect((await table('out', 'dropouts.csv')).filter((row) => row['site'] === 'finger').map((row) => row['case_id'])).toEqual(['Alder 1']);
    const written = JSON.parse(await readFile(join(top, 'out/parameters.json'), 'utf8')) as { parameters: unknown; product_version: string; inputs: { file: string; sha256: string }[] };
    expect(written.parameters).toEqual({ ...DEFAULT_PARAMETERS, name: 'from file', minDurationS: 60 });
    const packageText = await readFile(new URL('../../package.json', import.meta.url), 'utf8');
    expect(written.product_version).toBe((JSON.parse(packageText) as { version: string }).version);
    for (const { file, sha256 } of written.inputs) expect(sha256).toBe(createHash('sha256').update(await readFile(join(top, 'in', file))).digest('hex'));
    expect(written.inputs).toHaveLength(3);
  });

  it('takes paths from where npm was called, since npm runs scripts in the folder of the package', async () => {
    await putTwoCases();
    const child = spawn(process.execPath, [program, 'analyse', 'in', '--out', 'out'], { cwd: tmpdir(), env: { ...process.env, npm_lifecycle_event: 'lacuna', INIT_CWD: top } });
    expect((await ended(child)).code).toBe(0);
    expect(await readdir(join(top, 'out'))).toHaveLength(REPORT_FILE_NAMES.length);
  });

  it('writes no path of the machine', async () => {
    await putTwoCases();
    await analyse(join(top, 'in'), '--out', join(top, 'out'));
    for (const [name, text] of Object.entries(await bytesOf('out'))) expect(text, name).not.toContain(top);
  });
});

describe('a wrong call', () => {
  it.each([
    ['no such input', ['gone', '--out', 'out'], 'There is no such input'],
    ['an unknown option', ['in', '--out', 'out', '--fast'], '--fast'],
    ['no output folder', ['in'], '--out'],
    ['an unknown zone', ['in', '--out', 'out', '--zone', 'Middle/Earth'], 'Middle/Earth'],
    ['a mapping that is no JSON', ['in', '--out', 'out', '--mapping', 'bad.json'], 'line 2'],
    ['a mapping that does not fit', ['in', '--out', 'out', '--mapping', 'wrong.json'], '"schema"'],
    ['a parameters file that is not there', ['in', '--out', 'out', '--parameters', 'gone.json'], 'gone.json'],
    ['a parameter that does not fit', ['in', '--out', 'out', '--parameters', 'wrong.json'], '"minDurationS"'],
    ['an output folder below a file', ['in', '--out', 'bad.json/out'], 'cannot be written to'],
    ['an output folder that is an input', ['in', '--out', 'in'], 'also an input'],
    ['an input that is neither file nor folder', ['/dev/null', '--out', 'out'], 'neither a file nor a folder'],
  ])('(%s) exits with 2, says why and writes nothing', async (_, args, message) => {
    await putTwoCases();
    await put('bad.json', '{\n"a" 1\n}');
    await put('wrong.json', '{ "minDurationS": "long" }');
    const before = await readdir(top, { recursive: true });
    const { code, stdout, stderr } = await analyse(...args);
    expect(stderr).toContain(message);
    expect(code).toBe(2);
    expect(stdout).toBe('');
    expect(await readdir(top, { recursive: true })).toEqual(before);
  });
});

describe.skipIf(process.platform === 'win32')('an interrupted run', () => {
  /** Long enough to be interrupted at several stages. */
  async function putMany(): Promise<void> {
    const long = ['time,SpO2 finger (%),HR (/min)'];
    for (let s = 0; s < 6_000; s += 1) long.push(`${clock(s)},${s % 500 < 60 ? '' : 96 + (s % 3)},${60 + (s % 30)}`);
    for (let i = 0; i < 4; i += 1) await put(`in/Case ${i}/trends.csv`, `${long.join('\n')}\n`);
  }

  /** Moments by what the run has said, not by the clock: a busy machine must not change what is tested. */
  const MOMENTS = ['4 files to read', 'reading 0 %', 'reading 50 %', 'analysing 0 %', 'analysing 20 %', 'analysing 50 %', 'analysing 70 %', 'analysing 100 %'];

  it.each(['SIGINT', 'SIGTERM'] as const)('by %s at any moment leaves the earlier files whole, or all new ones', async (signal) => {
    await putMany();
    await put('p.json', '{ "minDurationS": 10 }');
    expect((await analyse('in', '--out', 'out')).code).toBe(0);
    expect((await analyse('in', '--out', 'full', '--parameters', 'p.json')).code).toBe(0);
    const before = await bytesOf('out');
    const after = await bytesOf('full');
    expect(after).not.toEqual(before);
    let nInterrupted = 0;
    for (const moment of MOMENTS) {
      const child = start('analyse', 'in', '--out', 'out', '--parameters', 'p.json');
      const end = ended(child);
      let said = '';
      child.stderr.on('data', (chunk: Buffer) => {
        const wasSaid = said.includes(moment);
        said += chunk.toString();
        if (!wasSaid && said.includes(moment)) child.kill(signal);
      });
      const { code, stderr } = await end;
      const now = await bytesOf('out');
      if (code === (signal === 'SIGINT' ? 130 : 143)) {
        nInterrupted += 1;
        expect(now, moment).toEqual(before);
      } else {
        // Too late to interrupt: the run was finished (0), or the signal met a program that had nothing left to do (null).
        expect([0, null], stderr).toContain(code);
        expect(now, moment).toEqual(after);
        await Promise.all(Object.entries(before).map(([name, text]) => writeFile(join(top, 'out', name), text)));
      }
    }
    expect(nInterrupted).toBeGreaterThan(0);
  });

  it('by a signal before it has begun leaves the earlier files whole', async () => {
    await putMany();
    expect((await analyse('in', '--out', 'out')).code).toBe(0);
    const before = await bytesOf('out');
    const child = start('analyse', 'in', '--out', 'out');
    const end = ended(child);
    child.once('spawn', () => child.kill('SIGTERM'));
    expect([null, 143]).toContain((await end).code);
    expect(await bytesOf('out')).toEqual(before);
  });

  it('takes away an output folder that it had made', async () => {
    await putMany();
    const child = start('analyse', 'in', '--out', 'fresh/out');
    const end = ended(child);
    child.stderr.once('data', () => child.kill('SIGINT'));
    expect((await end).code).toBe(130);
    expect(await readdir(top)).toEqual(['in']);
  });

  it('is not disturbed by a second signal', async () => {
    await putMany();
    const child = start('analyse', 'in', '--out', 'out');
    const end = ended(child);
    child.stderr.once('data', () => {
      child.kill('SIGINT');
      child.kill('SIGINT');
      setImmediate(() => child.kill('SIGINT'));
    });
    const { code, stderr } = await end;
    expect(code).toBe(130);
    expect(stderr).toContain('Interrupted. Nothing was written.');
    expect(await readdir(top)).toEqual(['in']);
  });
});

describe('a cohort', () => {
  const cohort = (...args: string[]): Promise<Ended> => ended(start('cohort', ...args));
  const sample = (name: string) => fileURLToPath(new URL(`../../sample-cases/cases/${name}`, import.meta.url));
  const folders = ['K01-fade-after-bolus', 'K06-finger-and-ear', 'K16-three-short-cases'].map(sample);

  it('writes the same bytes whatever the order of the inputs and the number of workers', async () => {
    const args = ['--draws', '200', '--group-by', 'service'];
    const [one, two] = await Promise.all([
      cohort(...folders, '--out', 'one', '--workers', '1', '--json', ...args),
      cohort(...[...folders].reverse(), '--out', 'two', '--workers', '2', '--case-list', join(sample('K16-three-short-cases'), 'case-list.csv'), ...args),
    ]);
    expect([one.code, two.code], one.stderr + two.stderr).toEqual([0, 0]);
    expect(JSON.parse(one.stdout)).toMatchObject({ exit_code: 0, cases: 5, cases_not_analysed: 0, written: [...COHORT_FILE_NAMES] });
    const [first, second] = [await bytesOf('one'), await bytesOf('two')];
    expect(Object.keys(first).sort()).toEqual([...COHORT_FILE_NAMES].sort());
    for (const name of COHORT_FILE_NAMES) if (name !== 'parameters.json' && name !== 'methods.md') expect(second[name], name).toBe(first[name]);
    // These two say that a list of cases was given.
    expect(second['parameters.json']!.replace(/,\s*"case-list.csv"/u, '')).toBe(first['parameters.json']);
    expect(second['methods.md']!.split('\n').filter((line) => !line.startsWith('A list of cases')).join('\n').replace(/\n\n\n/u, '\n\n')).toBe(first['methods.md']);
    expect((await table('two', 'case-list.csv')).map((row) => row['state'])).toEqual(['matched', 'matched', 'matched', 'not in the list', 'not in the list']);
    const burden = await table('one', 'cohort-burden.csv');
    expect(burden.filter((row) => row['scope'] === 'group' && row['site'] === 'finger' && row['doubtful_lost'] === 'no').map((row) => row['value'])).toContain('not stated');
    const flow = await table('one', 'cohort-flow.csv');
    expect(flow.filter((row) => row['left_out_because'] === '').map((row) => [row['step'], row['cases']])).toEqual([['imported', '5'], ['readable', '5'], ['usable', '5'], ['analysed', '5']]);
  }, 60_000);

  it('refuses to compare persons, a column and a list that are not there, and writes nothing', async () => {
    await put('in/a.csv', 'case_no,service,procedure,Surgeon\nK16-1,Day surgery,Hand surgery,Doe\nK16-2,Day surgery,Hernia repair,Roe\nK16-3,Vascular,Bypass,Doe\n');
    const wrong = [
      [['--group-by', 'Surgeon', '--keep-identifiers'], 'names persons'],
      [['--patient-column', 'Nobody'], 'no case has a column “Nobody”'],
      [['--case-list', 'gone.csv'], 'gone.csv'],
      [['--from', '2031-05-01', '--to', '2031-04-01'], 'later than'],
    ] as const;
    for (const [args, words] of wrong) {
      const { code, stderr } = await cohort('in', sample('K16-three-short-cases'), '--out', 'out', '--draws', '100', ...args);
      expect(code, stderr).toBe(2);
      expect(stderr).toContain(words);
      expect(stderr).toContain('Nothing was written.');
      expect(await readdir(top)).toEqual(['in']);
    }
  }, 60_000);
});
