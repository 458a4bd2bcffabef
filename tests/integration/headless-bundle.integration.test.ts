/* A research bundle through real files and workers: its digests against Node's own, its Parquet against hyparquet, and what changing a byte comes to. */
import { execFileSync, spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { cp, mkdir, mkdtemp, readdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parquetReadObjects } from 'hyparquet';
import Papa from 'papaparse';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';

const SAMPLES = fileURLToPath(new URL('../../sample-cases/cases', import.meta.url));
/** Small ones; one with two sensors, one whose rows are rejected in part. */
const CASES = ['K06-finger-and-ear', 'K09-minute-data', 'K08-record-gap'];

let program: string;
let top: string;
beforeAll(async () => {
  program = await mkdtemp(join(tmpdir(), 'lacuna-program-'));
  for (const part of ['headless', 'worker']) await cp(fileURLToPath(new URL(`../../dist/${part}`, import.meta.url)), join(program, part), { recursive: true });
  await writeFile(join(program, 'package.json'), '{ "type": "module" }');
  top = await mkdtemp(join(tmpdir(), 'lacuna-bundle-'));
  for (const name of CASES) await cp(join(SAMPLES, name), join(top, 'in', name), { recursive: true });
  // Text that a spreadsheet would run, quotes, commas and another alphabet have to come through both forms of a table.
  await writeFile(join(top, 'in', 'cases.csv'), `case,service,remark\n${CASES[0]},"=1+1","He said ""left, then right"""\n${CASES[1]},Ухо,\n`);
  const made = await lacuna('bundle', 'in', '--out', 'b', '--draws', '100', '--robustness', '--workers', '2', '--made', '2031-04-03T08:00:00+02:00');
  expect([0, 1]).toContain(made.code);
});
afterAll(async () => {
  await rm(program, { recursive: true, force: true });
  await rm(top, { recursive: true, force: true });
});

function lacuna(...args: string[]): Promise<{ readonly code: number | null; readonly stderr: string; readonly json: Verified }> {
  const child = spawn(process.execPath, [join(program, 'headless/main.js'), ...args], { cwd: top });
  let stderr = '';
  let stdout = '';
  child.stderr.on('data', (chunk: Buffer) => (stderr += chunk.toString()));
  child.stdout.on('data', (chunk: Buffer) => (stdout += chunk.toString()));
  return new Promise((resolve) => child.on('close', (code) => resolve({ code, stderr, json: (stdout === '' ? { problems: [] } : JSON.parse(stdout)) as Verified })));
}
interface Verified {
  readonly made_anew: boolean;
  readonly problems: readonly { readonly kind: string; readonly file: string; readonly byte: number | null; readonly row: number | null; readonly column: string | null }[];
}

async function filesOf(folder: string): Promise<string[]> {
  const entries = await readdir(join(top, folder), { withFileTypes: true, recursive: true });
  return entries.filter((entry) => entry.isFile()).map((entry) => join(entry.parentPath, entry.name).slice(join(top, folder).length + 1)).sort();
}
const bytesOf = (folder: string, name: string): Promise<Buffer> => readFile(join(top, folder, name));
const sha256 = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');

describe('what a bundle holds', () => {
  test('SHA256SUMS has the true digest of every other file, as sha256sum reads it, and the manifest those of the inputs', async () => {
    const files = await filesOf('b');
    const sums = (await bytesOf('b', 'SHA256SUMS')).toString().trimEnd().split('\n').map((line) => line.split('  ') as [string, string]);
    expect(sums.map(([, name]) => name)).toEqual(files.filter((name) => name !== 'SHA256SUMS'));
    for (const [digest, name] of sums) expect(sha256(await bytesOf('b', name)), name).toBe(digest);
    const manifest = JSON.parse((await bytesOf('b', 'manifest.json')).toString()) as { readonly inputs: readonly { readonly file: string; readonly sha256: string }[]; readonly made: string; readonly call: string };
    expect(manifest.inputs.map(({ file }) => file)).toEqual(await filesOf('in'));
    for (const { file, sha256: digest } of manifest.inputs) expect(sha256(await bytesOf('in', file))).toBe(digest);
    expect(manifest.made).toBe('2031-04-03T06:00:00.000Z');
    expect(manifest.call).not.toContain(top);
    // Where the tool of the operating system is there, it says the same.
    let isThere = true;
    try {
      execFileSync('sha256sum', ['--version']);
    } catch {
      isThere = false;
    }
    if (isThere) expect(execFileSync('sha256sum', ['-c', 'SHA256SUMS', '--quiet'], { cwd: join(top, 'b'), encoding: 'utf8' })).toBe('');
  });

  test('every table is there twice with the same cells, as two other programs read them (Papa Parse, hyparquet), and as the metadata say', async () => {
    const files = (await filesOf('b')).filter((name) => name.endsWith('.csv'));
    expect(files.length).toBeGreaterThan(25);
    const metadata = JSON.parse((await bytesOf('b', 'tables/csv-metadata.json')).toString()) as { readonly tables: readonly { readonly url: string; readonly tableSchema: { readonly columns: readonly { readonly name: string; readonly datatype: unknown; readonly null: string }[] } }[] };
    expect(metadata.tables.map(({ url }) => `tables/${url}`).sort()).toEqual(files);
    const dictionary = (await bytesOf('b', 'data-dictionary.md')).toString();
    let cells = 0;
    for (const { url, tableSchema: { columns } } of metadata.tables) {
      const csv = Papa.parse<string[]>((await bytesOf('b', `tables/${url}`)).toString(), { skipEmptyLines: true }).data;
      const parquet = await parquetReadObjects({ file: new Uint8Array(await bytesOf('b', `tables/${url.replace('.csv', '.parquet')}`)).buffer });
      expect(csv[0], url).toEqual(columns.map(({ name }) => name));
      expect(parquet, url).toHaveLength(csv.length - 1);
      const section = dictionary.slice(dictionary.indexOf(`## ${url}\n`));
      for (const [j, { name, datatype, null: none }] of columns.entries()) {
        expect(none).toBe('');
        expect(section, `${url} ${name}`).toContain(`| \`${name}\` | ${datatype === 'string' ? 'text' : datatype === 'double' ? 'number' : 'yes or no'} |`);
        for (const [i, row] of parquet.entries()) {
          const text = csv[i + 1]?.[j] ?? '';
          const value: unknown = row[name];
          cells += 1;
          if (text === '') expect(value, `${url} ${name} ${i}`).toBeNull();
          else if (datatype === 'double') expect(value).toBe(Number(text));
          else if (datatype === 'string') expect(text === value || text === `'${String(value)}`, `${url} ${name} ${i}: ${text}`).toBe(true);
          else expect(value).toBe(text === 'yes');
        }
      }
    }
    expect(cells).toBeGreaterThan(10_000);
  });

  test('the files say what RECORD and the handbook ask for: channels, parameters, exclusions, missing data, sensitivity, software, codes, how to verify', async () => {
    const methods = (await bytesOf('b', 'methods.md')).toString();
    for (const part of ['## Data', 'Channels, with source and interval', '- `spo2@ear lobe`: 1 case', 'All parameters:', '| `minDurationS` | 30 | s |', '## Cases', 'Missing data:', '## Sensitivity analyses', '## Software', '## Where the items of RECORD are']) expect(methods).toContain(part);
    expect((await bytesOf('b', 'tables/codes.csv')).toString()).toContain('drug,phenylephrine,vasopressor,ATC,C01CA06,');
    expect((await bytesOf('b', 'flow-of-cases.md')).toString()).toContain('3 cases were analysed');
    expect((await bytesOf('b', 'flow-of-cases.svg')).toString()).toMatch(/^<svg xmlns=.*analysed: 3 cases.*<\/svg>\n$/);
    const readme = (await bytesOf('b', 'README.md')).toString();
    for (const name of (await filesOf('b')).filter((one) => one !== 'README.md' && !one.endsWith('.parquet'))) expect(readme, name).toContain(name);
    expect(readme).toContain('bundle verify DIR --inputs INPUT...');
  });
});

describe('verifying', () => {
  test('what is untouched is verified, with another number of workers and the inputs in another place', async () => {
    await cp(join(top, 'in'), join(top, 'elsewhere'), { recursive: true });
    const { code, stderr, json } = await lacuna('bundle', 'verify', 'b', '--inputs', 'elsewhere', '--workers', '1', '--json');
    expect(stderr).toContain('every byte is the same');
    expect({ code, problems: json.problems, made: json.made_anew }).toEqual({ code: 0, problems: [], made: true });
  });

  test('one byte changed in every file is found in every file, with its place', async () => {
    await cp(join(top, 'b'), join(top, 'changed'), { recursive: true });
    const files = (await filesOf('b')).filter((name) => !['manifest.json', 'SHA256SUMS', 'parameters.json'].includes(name));
    const at = new Map<string, number>();
    for (const name of files) {
      const bytes = await bytesOf('changed', name);
      const place = Math.floor(bytes.length * 0.7);
      at.set(name, place);
      bytes[place] = bytes[place] === 0x38 ? 0x39 : 0x38;
      await writeFile(join(top, 'changed', name), bytes);
    }
    const { code, json } = await lacuna('bundle', 'verify', 'changed', '--inputs', 'in', '--json');
    expect(code).toBe(1);
    expect(new Map(json.problems.map(({ file, byte }) => [file, byte]))).toEqual(at);
    expect(new Set(json.problems.map(({ kind }) => kind))).toEqual(new Set(['file changed']));
    const row = json.problems.find(({ file }) => file === 'tables/robustness.csv');
    const before = (await bytesOf('b', 'tables/robustness.csv')).subarray(0, at.get('tables/robustness.csv')).toString();
    expect(row?.row).toBe(before.split('\r\n').length - 1);
  });

  test('a change of manifest, sums or parameters, a file that is gone and one that is more are found', async () => {
    for (const [i, name] of ['manifest.json', 'SHA256SUMS', 'parameters.json'].entries()) {
      const folder = `meta${i}`;
      await cp(join(top, 'b'), join(top, folder), { recursive: true });
      const text = (await bytesOf(folder, name)).toString();
      await writeFile(join(top, folder, name), name === 'manifest.json' ? text.replace('"byte_length": 1', '"byte_length": 2') : text.replace(/8/, '9'));
      const { code, json } = await lacuna('bundle', 'verify', folder, '--inputs', 'in/K09-minute-data', '--json');
      expect(code).toBe(1);
      expect(json.problems.some(({ kind, file }) => kind === 'file changed' && (file === name || (name === 'manifest.json' && file === 'SHA256SUMS')))).toBe(true);
    }
    // A manifest that cannot be read any more was once called a wrong call, as if the folder were no bundle.
    await cp(join(top, 'b'), join(top, 'broken'), { recursive: true });
    await writeFile(join(top, 'broken/manifest.json'), (await bytesOf('b', 'manifest.json')).toString().replace('lacuna-bundle/1', 'lacuna-bundle/2'));
    expect(await lacuna('bundle', 'verify', 'broken', '--inputs', 'in', '--json')).toMatchObject({ code: 1, json: { problems: [{ kind: 'file changed', file: 'manifest.json' }] } });
    await cp(join(top, 'b'), join(top, 'other'), { recursive: true });
    await rename(join(top, 'other/methods.md'), join(top, 'other/method.md'));
    const { json } = await lacuna('bundle', 'verify', 'other', '--inputs', 'in/K09-minute-data', '--json');
    expect(json.problems.flatMap(({ kind, file }) => (kind.startsWith('file') ? [[kind, file]] : []))).toEqual([['file missing', 'methods.md'], ['file not of the bundle', 'method.md']]);
  });

  test('an input that was changed, one that is missing and one that is more are told apart', async () => {
    await cp(join(top, 'in'), join(top, 'inputs'), { recursive: true });
    const changed = (await filesOf('inputs')).find((name) => name.includes(CASES[1] ?? '') && name.endsWith('minutes.csv')) ?? '';
    await writeFile(join(top, 'inputs', changed), (await bytesOf('inputs', changed)).toString('latin1').replace('97', '96'), 'latin1');
    await rm(join(top, 'inputs/cases.csv'));
    await mkdir(join(top, 'inputs/K99'));
    await writeFile(join(top, 'inputs/K99/trends.csv'), 'time,SpO2\n2031-01-01 08:00,98\n');
    const { code, json } = await lacuna('bundle', 'verify', 'b', '--inputs', 'inputs', '--json');
    expect(code).toBe(1);
    expect(json.made_anew).toBe(false);
    expect(json.problems.map(({ kind, file }) => [kind, file])).toEqual([['input changed', changed], ['input missing', 'cases.csv'], ['input not of the bundle', 'K99/trends.csv']]);
  });

  test('a bundle of another version says so; a folder that is none, and one that holds something else, are wrong calls', async () => {
    await cp(join(top, 'b'), join(top, 'older'), { recursive: true });
    const manifest = (await bytesOf('older', 'manifest.json')).toString();
    await writeFile(join(top, 'older/manifest.json'), manifest.replace(/"product_version": "[^"]*"/, '"product_version": "0.0.1"'));
    const { json } = await lacuna('bundle', 'verify', 'older', '--inputs', 'in', '--json');
    expect(json.problems.map(({ kind }) => kind)).toContain('another version');
    expect(await lacuna('bundle', 'verify', 'in', '--inputs', 'in')).toMatchObject({ code: 2, stderr: expect.stringContaining('is no research bundle') as string });
    expect(await lacuna('bundle', 'in', '--out', 'elsewhere')).toMatchObject({ code: 2, stderr: expect.stringContaining('no part of a bundle') as string });
    expect(await lacuna('bundle', 'in', '--out', 'rel', '--relative-time', '--from', '2031-01-01')).toMatchObject({ code: 2, stderr: expect.stringContaining('--from') as string });
  });
});

test('without dates no file of a bundle names one, and it verifies', async () => {
  await lacuna('bundle', 'in', '--out', 'rel', '--draws', '100', '--relative-time', '--zone', 'Europe/Berlin');
  const dates = /\b20[0-9]{2}-(?:0[1-9]|1[0-2])\b|\b[0-2][0-9]:[0-5][0-9]:[0-5][0-9]\b|Europe\/Berlin/;
  for (const name of await filesOf('rel')) if (!name.endsWith('.parquet')) expect(dates.exec((await bytesOf('rel', name)).toString())?.[0] ?? null, name).toBeNull();
  const { code, stderr } = await lacuna('bundle', 'verify', 'rel', '--inputs', 'in');
  expect({ code, says: stderr.includes('State it with --zone') }).toEqual({ code: 1, says: true });
  expect((await lacuna('bundle', 'verify', 'rel', '--inputs', 'in', '--zone', 'Europe/Berlin')).code).toBe(0);
});
