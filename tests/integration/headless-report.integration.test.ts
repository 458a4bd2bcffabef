import { spawn } from 'node:child_process';
import { cp, mkdtemp, readFile, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Papa from 'papaparse';
import { afterAll, beforeAll, expect, it } from 'vitest';

const PROGRAM = fileURLToPath(new URL('../../dist/headless/main.js', import.meta.url));
const SAMPLES = fileURLToPath(new URL('../../sample-cases/cases', import.meta.url));

let top: string;
let inputs: string;
beforeAll(async () => {
  top = await mkdtemp(join(tmpdir(), 'lacuna-report-'));
  inputs = join(top, 'inputs');
  for (const name of ['K01-fade-after-bolus', 'K06-finger-and-ear', 'K16-three-short-cases']) await cp(join(SAMPLES, name), join(inputs, name), { recursive: true });
});
afterAll(async () => {
  await rm(top, { recursive: true, force: true });
});

interface Ended {
  readonly code: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

function lacuna(...args: string[]): Promise<Ended> {
  const child = spawn(process.execPath, [PROGRAM, ...args], { cwd: top });
  let stdout = '';
  let stderr = '';
  child.stdout.on('data', (chunk: Buffer) => (stdout += chunk.toString()));
  child.stderr.on('data', (chunk: Buffer) => (stderr += chunk.toString()));
  return new Promise((resolve) => child.on('close', (code) => resolve({ code, stdout, stderr })));
}

async function bytesOf(out: string): Promise<Record<string, string>> {
  const names = (await readdir(join(top, out))).sort();
  return Object.fromEntries(await Promise.all(names.map(async (name) => [name, await readFile(join(top, out, name), 'latin1')] as const)));
}

it('writes a sheet of every case under a number, the same bytes again, and takes away sheets that a later run does not write', async () => {
  const first = await lacuna('report', 'case', inputs, '--out', 'sheets', '--json');
  expect(first.code).toBe(0);
  const files = await bytesOf('sheets');
  const rows = Papa.parse<Record<string, string>>(files['case-sheets.csv'] ?? '', { header: true, skipEmptyLines: true, newline: '\r\n' }).data;
  expect(rows.map(({ sheet, case_id, pages }) => [sheet, case_id, pages])).toEqual([['1', 'K01-fade-after-bolus', '1'], ['2', 'K06-finger-and-ear', '1'], ['3', 'K16-1', '1'], ['4', 'K16-2', '1'], ['5', 'K16-3', '1']]);
  for (const row of rows) {
    expect(files[row['html'] ?? '']).toContain(`<p class="subtitle">${row['case_id'] ?? ''}`);
    expect(files[row['pdf'] ?? '']?.slice(0, 8)).toBe('%PDF-1.7');
  }
  // No name of a case in the name of a file.
  expect(Object.keys(files).filter((name) => /K\d\d/.test(name))).toEqual([]);
  const summary = JSON.parse(first.stdout) as { cases: number; dropouts: number; written: string[] };
  expect(summary.cases).toBe(5);
  expect([...summary.written].sort()).toEqual(Object.keys(files));

  expect((await lacuna('report', 'case', inputs, '--out', 'again', '--workers', '2')).code).toBe(0);
  expect(await bytesOf('again')).toEqual(files);

  expect((await lacuna('report', 'case', join(inputs, 'K01-fade-after-bolus'), '--out', 'sheets', '--relative-time', '--paper', 'Letter', '--header', '')).code).toBe(0);
  const later = await bytesOf('sheets');
  expect(Object.keys(later)).toEqual(['case-sheet-001.html', 'case-sheet-001.pdf', 'case-sheets.csv', 'import-report.json', 'parameters.json', 'rejected-rows.csv', 'release-list.json']);
  expect(later['case-sheet-001.html']).not.toContain('2031');
  expect(later['case-sheet-001.html']).not.toContain('class="policy"');
});

it('writes the report of a department for the days that are asked for, the same bytes again', async () => {
  const asked = ['report', 'department', inputs, '--from', '2031-03-01', '--to', '2031-05-31', '--leave-out-undated', '--draws', '200', '--header', 'Peer review, see policy 7'];
  expect((await lacuna(...asked, '--out', 'department')).code).toBe(0);
  const files = await bytesOf('department');
  expect(Object.keys(files)).toEqual(['department-report.html', 'department-report.pdf', 'import-report.json', 'parameters.json', 'rejected-rows.csv', 'release-list.json']);
  expect(files['department-report.html']).toContain('2031-03-01 to 2031-05-31');
  expect(files['department-report.html']).toContain('<p class="policy">Peer review, see policy 7</p>');
  for (const heading of ['How often and how long', 'Charts by month', 'What preceded loss', 'On one page, in plain words', 'How losses began', 'Cases worth discussing', 'Definitions', 'Quality of the data', 'Cautions']) expect(files['department-report.html']).toContain(`<h2>${heading}</h2>`);
  expect((await lacuna(...asked, '--out', 'department-again')).code).toBe(0);
  expect(await bytesOf('department-again')).toEqual(files);
});

it.each([
  [['report', 'case', 'inputs'], /required option '--out/],
  [['report', 'case', 'inputs', '--out', 'x', '--paper', 'A3'], /Allowed choices are A4, Letter/],
  [['report', 'department', 'inputs', '--out', 'x', '--from', '2031-05-01', '--to', '2031-04-01'], /later than --to/],
  [['report', 'department', 'inputs', '--out', 'x', '--header', 'x'.repeat(121)], /120 characters at most/],
  [['report', 'case', 'nowhere', '--out', 'x'], /There is no such input/],
])('a wrong call is told and writes nothing: %j', async (args, message) => {
  const { code, stderr } = await lacuna(...args);
  expect(code).toBe(2);
  expect(stderr).toMatch(message);
  expect((await readdir(top)).includes('x')).toBe(false);
});

/* Words of a page are read without the program: tags taken off, letters and figures in runs. What the writers put in by themselves stands in core/report/release/writers-own.ts. */
it('lists every word of a report, and with a file of answers writes nothing before all are answered; then what may leave lies apart from what stays', async () => {
  const runs = (text: string): string[] => text.replace(/<(style|script)>[\s\S]*?<\/\1>/g, ' ').replace(/ (?:aria-label|alt)="([^"]*)"/g, '>$1<').replace(/<[^>]*>/g, ' ').replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&quot;', '"').replaceAll('&amp;', '&').toLowerCase().match(/[\p{L}\p{M}\p{N}]+/gu) ?? [];
  interface List { readonly open: number; readonly asked: number; readonly files: readonly string[]; readonly words: readonly { readonly text: string }[] }
  const listIn = async (...path: string[]): Promise<List> => JSON.parse(await readFile(join(top, ...path), 'utf8')) as List; // written by the run just now
  const missing = async (list: List, ...path: string[]): Promise<string[]> => {
    const listed = new Set(list.words.flatMap(({ text }) => runs(text)));
    return runs(await readFile(join(top, ...path), 'utf8')).filter((run) => !listed.has(run) && !['lacuna'].includes(run));
  };
  const plain = await lacuna('report', 'case', join(inputs, 'K01-fade-after-bolus'), '--out', 'plain');
  const unanswered = await listIn('plain', 'release-list.json');
  expect(unanswered.open).toBe(unanswered.asked);
  expect(plain.stderr.trimEnd().split('\n').at(-1)).toContain(`${unanswered.open} words, dates and codes`);
  for (const file of unanswered.files.filter((name) => name.endsWith('.html'))) expect(await missing(unanswered, 'plain', file)).toEqual([]);

  const refused = await lacuna('report', 'case', join(inputs, 'K01-fade-after-bolus'), '--out', 'leaving', '--release-answers', 'answers.json', '--json');
  expect([refused.code, refused.stdout]).toEqual([2, '']);
  expect(refused.stderr).toContain('No result was written.');
  expect((await readdir(top)).includes('leaving')).toBe(false);
  const asked = JSON.parse(await readFile(join(top, 'answers.json'), 'utf8')) as { answers: { text: string; decision: string }[] };
  expect(asked.answers.map(({ text }) => text)).toEqual(expect.arrayContaining(['K01']));
  await writeFile(join(top, 'answers.json'), JSON.stringify({ ...asked, answers: asked.answers.slice(1).map((one) => ({ ...one, decision: 'leave out' })) }));
  expect((await lacuna('report', 'case', join(inputs, 'K01-fade-after-bolus'), '--out', 'leaving', '--release-answers', 'answers.json')).stderr).toContain('answers.open.json');
  await writeFile(join(top, 'answers.json'), JSON.stringify({ ...asked, answers: asked.answers.map((one) => ({ ...one, decision: 'leave out' })) }));
  const done = await lacuna('report', 'case', join(inputs, 'K01-fade-after-bolus'), '--out', 'leaving', '--release-answers', 'answers.json', '--json');
  expect(done.code).toBe(0);
  expect((JSON.parse(done.stdout) as { release: unknown }).release).toMatchObject({ open: 0, left_out: asked.answers.length, list: 'stays-here/release-list.json' });
  const list = await listIn('leaving', 'stays-here', 'release-list.json');
  const there = (await readdir(join(top, 'leaving'))).sort();
  expect(there).toEqual([...list.files, 'stays-here'].sort());
  for (const file of list.files.filter((name) => name.endsWith('.html'))) {
    const html = await readFile(join(top, 'leaving', file), 'utf8');
    expect(await missing(list, 'leaving', file)).toEqual([]);
    expect(html).not.toMatch(/K\d\d|2031-/);
  }
  expect((await lacuna('report', 'case', join(inputs, 'K01-fade-after-bolus'), '--out', 'leaving', '--release-answers', join('plain', 'case-sheets.csv'))).code).toBe(2);
  // A plain run into the same folder takes the folder of what stays with it.
  expect((await lacuna('report', 'case', join(inputs, 'K01-fade-after-bolus'), '--out', 'leaving')).code).toBe(0);
  expect((await filesBelow('leaving')).filter((name) => name.startsWith('stays-here/'))).toEqual([]);
});

it('writes a report of a department with answers only when all are given, without what was left out, and lays aside what stays', async () => {
  interface Asked { readonly answers: readonly { readonly kind: string; readonly text: string; readonly decision: string; readonly with?: string }[] }
  const asked = ['report', 'department', join(inputs, 'K06-finger-and-ear'), '--draws', '100', '--out', 'department-leaving', '--release-answers', 'department-answers.json'];
  const refused = await lacuna(...asked, '--json');
  expect([refused.code, refused.stdout]).toEqual([2, '']);
  expect(refused.stderr).toContain('department-answers.json');
  expect((await readdir(top)).includes('department-leaving')).toBe(false);
  const questions = JSON.parse(await readFile(join(top, 'department-answers.json'), 'utf8')) as Asked; // written by the run just now
  expect(questions.answers.map(({ text }) => text)).toEqual(expect.arrayContaining([expect.stringMatching(/^K06/)]));
  const answers = questions.answers.map((one) => (one.text.startsWith('K06') ? { ...one, decision: 'replace', with: 'the first case' } : { ...one, decision: 'leave out' }));
  await writeFile(join(top, 'department-answers.json'), JSON.stringify({ ...questions, answers }));
  const done = await lacuna(...asked, '--json');
  expect(done.code).toBe(0);
  expect((JSON.parse(done.stdout) as { release: unknown }).release).toMatchObject({ open: 0, asked: answers.length, replaced: answers.filter(({ decision }) => decision === 'replace').length, list: 'stays-here/release-list.json' });
  expect((await readdir(join(top, 'department-leaving'))).sort()).toEqual(['department-report.html', 'department-report.pdf', 'stays-here']);
  expect((await readdir(join(top, 'department-leaving', 'stays-here'))).sort()).toEqual(['import-report.json', 'parameters.json', 'rejected-rows.csv', 'release-list.json']);
  const html = await readFile(join(top, 'department-leaving', 'department-report.html'), 'utf8');
  expect(html).not.toMatch(/K06/);
  expect(html).toContain('the first case');
  expect((await readFile(join(top, 'department-leaving', 'department-report.pdf'), 'latin1')).slice(0, 8)).toBe('%PDF-1.7');
});

async function filesBelow(out: string): Promise<string[]> {
  return (await readdir(join(top, out), { recursive: true, withFileTypes: true })).filter((entry) => entry.isFile()).map((entry) => `${entry.parentPath.slice(join(top, out).length + 1)}/${entry.name}`.replace(/^\//, ''));
}
