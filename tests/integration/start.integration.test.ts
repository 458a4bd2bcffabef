import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { chmod, mkdtemp, readFile, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { browserArguments } from '../../electron/loopback/browser-window.ts';
import { ROOT } from '../repo/source-files.ts';

/*
 * `npm start` from outside, in browser mode. The browser is a stand-in that opens the address it is given as a browser would,
 * writes down what it was told, and closes when the test says so.
 */
let folder = '';
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-start-'));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

async function standInBrowser(staysOpenMs: number): Promise<string> {
  const path = join(folder, 'browser.mjs');
  await writeFile(
    path,
    `#!${process.execPath}
import { writeFileSync } from 'node:fs';
const args = process.argv.slice(2);
const address = args.find((arg) => arg.startsWith('--app=')).slice(6);
const reply = ${staysOpenMs} === 0 ? null : await fetch(address, { redirect: 'manual' });
const again = ${staysOpenMs} === 0 ? null : await fetch(address, { redirect: 'manual' });
writeFileSync(${JSON.stringify(join(folder, 'seen.json'))}, JSON.stringify({ args, status: reply?.status, cookie: reply?.headers.get('set-cookie'), again: again?.status }));
setTimeout(() => process.exit(0), ${staysOpenMs});
`,
  );
  await chmod(path, 0o755);
  return path;
}

/** Starts the workstation with a display that nothing draws on, and collects what it says. */
function start(args: readonly string[], env: Record<string, string> = {}) {
  const child = spawn(process.execPath, [join(ROOT, 'electron/launch/start.mjs'), ...args], {
    env: { ...process.env, NODE_ENV: '', XDG_DATA_HOME: folder, DISPLAY: ':none', ...env },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const said = { out: '', err: '' };
  child.stdout.on('data', (chunk: Buffer) => (said.out += chunk.toString()));
  child.stderr.on('data', (chunk: Buffer) => (said.err += chunk.toString()));
  const ended = once(child, 'exit').then(([code]) => code as number | null);
  const address = async (): Promise<string> => {
    for (;;) {
      const found = /http:\/\/127\.0\.0\.1:\d+\/\?token=[\w-]+/.exec(said.out);
      if (found !== null) return found[0];
      if (child.exitCode !== null) throw new Error(`ended with ${child.exitCode}: ${said.out}${said.err}`);
      await Promise.race([once(child.stdout, 'data'), ended]);
    }
  };
  return { child, said, ended, address };
}

describe.skipIf(process.platform === 'win32')('npm start in browser mode', () => {
  test('opens one app window with an entry that works once, and ends when the window is closed', async () => {
    const browser = await standInBrowser(3500);
    const { said, ended } = start(['--browser', '--library', join(folder, 'library')], { LACUNA_BROWSER: browser });
    expect(await ended).toBe(0);
    expect(said.out).toBe('Lacuna runs in a browser window (as asked for). Close the window to end it.\n');
    const seen = JSON.parse(await readFile(join(folder, 'seen.json'), 'utf8')) as { args: string[]; status: number; cookie: string; again: number };
    expect(seen).toMatchObject({ status: 303, again: 403 });
    expect(seen.cookie).toMatch(/^lacuna-\d+=[\w-]{43}; Path=\/; HttpOnly; SameSite=Strict$/);
    // The entry on the command line, which other users may read, is not the token.
    expect(seen.args.join(' ')).not.toContain(seen.cookie.split(/[=;]/)[1]);
    const profile = seen.args.find((arg) => arg.startsWith('--user-data-dir='))!.slice('--user-data-dir='.length);
    await expect(readdir(profile)).rejects.toMatchObject({ code: 'ENOENT' });
    expect((await readdir(join(folder, 'library'))).includes('lock')).toBe(false);
  });

  test('prints the address when the browser shows no window, when there is none, and when none is wanted', async () => {
    const browser = await standInBrowser(0);
    for (const [args, env] of [[['--browser'], { LACUNA_BROWSER: browser }], [['--browser'], { LACUNA_BROWSER: join(folder, 'absent') }], [['--no-open'], {}], [['--browser'], { DISPLAY: '', WAYLAND_DISPLAY: '' }]] as const) {
      const { child, ended, address } = start([...args, '--library', join(folder, 'library')], env);
      const page = await fetch(await address(), { redirect: 'manual' });
      expect(page.status).toBe(303);
      child.kill('SIGINT');
      expect(await ended).toBe(0);
    }
  });

  test('says which library is open already, and which option is wrong', async () => {
    const first = start(['--no-open', '--library', join(folder, 'library')]);
    await first.address();
    const second = start(['--no-open', '--library', join(folder, 'library')]);
    expect(await second.ended).toBe(1);
    expect(second.said.err).toMatch(/The library "library" is already open \(process \d+\)\. Use the window that is open/);
    first.child.kill('SIGTERM');
    expect(await first.ended).toBe(0);
    for (const args of [['--port', 'x'], ['--port', '70000'], ['--nonsense']]) {
      const wrong = start(args);
      expect(await wrong.ended).toBe(2);
      expect(wrong.said.err).toMatch(/--port|nonsense/);
    }
  });
});

test('the browser gets a profile of its own, talks to nobody else, and keeps its sandbox unless we are root', () => {
  const args = browserArguments('http://127.0.0.1:1/?entry=e', 'p', false);
  expect(args).toContain('--app=http://127.0.0.1:1/?entry=e');
  expect(args).toContain('--user-data-dir=p');
  expect(args).toContain('--disable-background-networking');
  expect(args).not.toContain('--no-sandbox');
  expect(browserArguments('a', 'p', true)).toContain('--no-sandbox');
});
