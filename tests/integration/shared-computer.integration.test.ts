import { spawn, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, readFile, readdir, rm, stat } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { plantedPerson } from '../builders/planted-person.ts';
import { ROOT } from '../repo/source-files.ts';
import { seededRandom } from '../simulator/random.ts';

/*
 * What other users of the computer can see of a running workstation and of what it leaves behind: the rows of the threat table
 * "A shared computer" in docs/security.md. The program runs as `npm start` starts it, with the most generous umask there is.
 */
let folder = '';
let child: ChildProcess;
let said = '';
let origin = '';
let token = '';
const person = plantedPerson(seededRandom(7));

async function call<T>(method: string, args: unknown = null): Promise<T> {
  const reply = await fetch(`${origin}/api/${method}`, { method: 'POST', headers: { 'x-lacuna-token': token, origin, 'content-type': 'application/json' }, body: JSON.stringify(args) });
  const envelope = (await reply.json()) as { ok: boolean; value: T };
  expect(envelope.ok, method).toBe(true);
  return envelope.value;
}

/** An export as a careless one comes: the patient's name in the name of folder and file, in a column, and in rows that are refused. */
const EXPORT = ['patient,record no,time,SpO2 finger (%),HR', ...Array.from({ length: 400 }, (_, i) => `"${person.surname}, ${person.given}",${person.record},2031-03-04 08:${String(Math.floor(i / 60)).padStart(2, '0')}:${String(i % 60).padStart(2, '0')},${i >= 200 && i < 290 ? '' : 97},70`), `"${person.surname}, ${person.given}",${person.record},at once,97,70`].join('\n');
const PATH = `${person.surname} ${person.given}/${person.record}.csv`;

/** Everything that lies in the library, while the import is not over: its staged files too. */
async function entries(): Promise<{ readonly name: string; readonly path: string }[]> {
  const found = await readdir(join(folder, 'library'), { recursive: true, withFileTypes: true });
  return found.map((entry) => ({ name: entry.name, path: join(entry.parentPath, entry.name) }));
}

// Rights to files are another matter on Windows, where a library lies in the user's own profile.
describe.skipIf(process.platform === 'win32')('on a shared computer', () => {
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'lacuna-shared-'));
    child = spawn('sh', ['-c', 'umask 0; exec "$0" electron/launch/start.mjs --browser --no-open --library "$1"', process.execPath, join(folder, 'library')], { cwd: ROOT, env: { ...process.env, XDG_DATA_HOME: folder }, stdio: ['ignore', 'pipe', 'pipe'] });
    const address = await new Promise<string>((resolve, reject) => {
      const listen = (chunk: Buffer): void => {
        said += chunk.toString();
        const found = /http:\/\/127\.0\.0\.1:\d+\/\?token=[\w-]+/.exec(said);
        if (found !== null) resolve(found[0]);
      };
      child.stdout?.on('data', listen);
      child.stderr?.on('data', listen);
      child.on('exit', (code) => reject(new Error(`the workstation ended with ${code}: ${said}`)));
    });
    origin = new URL(address).origin;
    token = new URL(address).searchParams.get('token') ?? '';
    said = '';
    const { importId } = await call<{ importId: string }>('beginImport');
    const staged = await fetch(`${origin}/bytes/stage/${importId}?path=${encodeURIComponent(PATH)}`, { method: 'PUT', headers: { 'x-lacuna-token': token, origin, 'content-type': 'application/octet-stream' }, body: EXPORT });
    expect(staged.status).toBe(200);
    const result = await call<{ files: { rows_rejected: number }[]; cases: unknown[] }>('runImport', { importId, overrules: [], zone: null, mapping: null });
    expect(result.cases).toHaveLength(1);
  }, 120_000);
  afterAll(async () => {
    child.kill('SIGTERM');
    if (child.exitCode === null) await once(child, 'exit');
    await rm(folder, { recursive: true, force: true });
  });

  test('another user may read no file and look into no folder of a library, whatever umask the program was started with', async () => {
    const all = await entries();
    expect(all.length).toBeGreaterThan(5);
    expect((await stat(join(folder, 'library'))).mode & 0o077).toBe(0);
    for (const { path } of all) expect((await stat(path)).mode & 0o077, path).toBe(0);
  });

  test('another user finds no name, record number or date of birth in a file name', async () => {
    for (const { name } of await entries()) for (const secret of [...person.secrets, person.given]) expect(name.toLowerCase()).not.toContain(secret.toLowerCase());
  });

  test.skipIf(process.platform !== 'linux')('another user reads no token from the list of processes', async () => {
    expect(token.length).toBeGreaterThan(20);
    let looked = 0;
    for (const pid of (await readdir('/proc')).filter((name) => /^\d+$/.test(name))) {
      const line = await readFile(`/proc/${pid}/cmdline`, 'utf8').catch(() => ''); // it has ended meanwhile
      expect(line).not.toContain(token);
      looked += line.includes('lacuna') || line.includes('start.mjs') ? 1 : 0;
    }
    expect(looked).toBeGreaterThan(0);
  });

  test('what the program writes to its terminal says nothing of a patient', () => {
    for (const secret of [...person.secrets, person.given]) expect(said.toLowerCase()).not.toContain(secret.toLowerCase());
  });

  test('what the page is told of the import says nothing of a patient', async () => {
    const told = JSON.stringify([await call('listCases'), await call('listLedger')]);
    for (const secret of [...person.secrets, person.given]) expect(told.toLowerCase()).not.toContain(secret.toLowerCase());
  });
});
