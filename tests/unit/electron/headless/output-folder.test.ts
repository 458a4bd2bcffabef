import { mkdir, mkdtemp, readFile, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { WrongCall } from '../../../../electron/headless/find-inputs.ts';
import { openOutputFolder } from '../../../../electron/headless/output-folder.ts';

let top: string;
const patient = new AbortController().signal;

beforeEach(async () => {
  top = await mkdtemp(join(tmpdir(), 'lacuna-out-'));
});
afterEach(async () => {
  await rm(top, { recursive: true, force: true });
});

const files = (text: string): { name: string; text: Iterable<string> }[] => [
  { name: 'cases.csv', text: [text, text] },
  { name: 'links.csv', text: [text] },
];

describe('the output folder', () => {
  it('is made where missing, takes all files and keeps nothing else', async () => {
    const out = await openOutputFolder(join(top, 'a/b'));
    await out.write(files('x'), patient);
    await out.discard();
    expect((await readdir(join(top, 'a/b'))).sort()).toEqual(['cases.csv', 'links.csv']);
    expect(await readFile(join(top, 'a/b/cases.csv'), 'utf8')).toBe('xx');
  });

  it('replaces the files of an earlier run and leaves other files alone', async () => {
    await writeFile(join(top, 'cases.csv'), 'a much longer text of an earlier run');
    await writeFile(join(top, 'mine.txt'), 'mine');
    const out = await openOutputFolder(top);
    await out.write(files('x'), patient);
    await out.discard();
    expect(await readFile(join(top, 'cases.csv'), 'utf8')).toBe('xx');
    expect(await readFile(join(top, 'mine.txt'), 'utf8')).toBe('mine');
  });

  it('takes away a table that only the run before wrote, and no file that it does not list as its own', async () => {
    const parameters = (written: readonly string[]): { name: string; text: Iterable<string> } => ({ name: 'parameters.json', text: [JSON.stringify({ product: 'lacuna', written })] });
    const first = await openOutputFolder(top);
    await first.write([...files('x'), { name: 'robustness.csv', text: ['old'] }, parameters(['cases.csv', 'links.csv', 'robustness.csv', 'parameters.json', 'mine.txt'])], patient);
    await first.discard();
    await writeFile(join(top, 'mine.txt'), 'mine');
    const second = await openOutputFolder(top);
    await second.write([...files('y'), parameters(['cases.csv', 'links.csv', 'parameters.json'])], patient);
    await second.discard();
    expect((await readdir(top)).sort()).toEqual(['cases.csv', 'links.csv', 'mine.txt', 'parameters.json']);
    // One that nobody lists is somebody's own.
    await writeFile(join(top, 'robustness.csv'), 'mine too');
    const third = await openOutputFolder(top);
    await third.write([...files('z'), parameters(['cases.csv'])], patient);
    await third.discard();
    expect(await readFile(join(top, 'robustness.csv'), 'utf8')).toBe('mine too');
  });

  it('writes no file when a later one cannot be made', async () => {
    await writeFile(join(top, 'cases.csv'), 'old');
    const out = await openOutputFolder(top);
    const broken = {
      name: 'links.csv',
      text: (function* () {
        yield 'begun';
        throw new Error('broke');
      })(),
    };
    await expect(out.write([...files('x').slice(0, 1), broken], patient)).rejects.toThrow('broke');
    await out.discard();
    expect(await readdir(top)).toEqual(['cases.csv']);
    expect(await readFile(join(top, 'cases.csv'), 'utf8')).toBe('old');
  });

  it('writes no file when aborted in the middle of one', async () => {
    const abort = new AbortController();
    const out = await openOutputFolder(top);
    const endless = {
      name: 'links.csv',
      text: (function* () {
        for (let i = 0; ; i += 1) {
          if (i === 3) abort.abort(new Error('stopped'));
          yield 'x'.repeat(600_000);
        }
      })(),
    };
    await expect(out.write([...files('x').slice(0, 1), endless], abort.signal)).rejects.toThrow('stopped');
    await out.discard();
    expect(await readdir(top)).toEqual([]);
  });

  it('takes the folders it made away again when nothing was written, and no others', async () => {
    await mkdir(join(top, 'there'));
    const out = await openOutputFolder(join(top, 'there/new/newer'));
    await out.discard();
    expect(await readdir(join(top, 'there'))).toEqual([]);
  });

  it('refuses a folder that cannot be made, and leaves nothing', async () => {
    await writeFile(join(top, 'file'), '');
    await expect(openOutputFolder(join(top, 'file/out'))).rejects.toThrow(WrongCall);
    await expect(openOutputFolder(join(top, 'file'))).rejects.toThrow(WrongCall);
    expect(await readdir(top)).toEqual(['file']);
  });

  it('refuses a folder in which a folder stands where a file has to go', async () => {
    await mkdir(join(top, 'cases.csv'));
    await expect(openOutputFolder(top)).rejects.toThrow('cases.csv is not a file');
    expect(await readdir(top)).toEqual(['cases.csv']);
  });
});
