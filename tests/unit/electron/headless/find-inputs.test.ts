import { mkdir, mkdtemp, realpath, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { WrongCall, findInputs } from '../../../../electron/headless/find-inputs.ts';

let top: string;
let out: string;

beforeEach(async () => {
  top = await realpath(await mkdtemp(join(tmpdir(), 'lacuna-inputs-')));
  out = join(top, 'results');
});
afterEach(async () => {
  await rm(top, { recursive: true, force: true });
});

async function put(...paths: string[]): Promise<void> {
  for (const path of paths) {
    await mkdir(dirname(join(top, path)), { recursive: true });
    await writeFile(join(top, path), 'x');
  }
}

const find = (...inputs: string[]): ReturnType<typeof findInputs> => findInputs(inputs.map((input) => join(top, input)), out);
const names = async (...inputs: string[]): Promise<string[]> => (await find(...inputs)).files.map((file) => file.relativePath);

describe('findInputs', () => {
  it('searches folders to any depth and sorts by relative path in code units', async () => {
    await put('in/b.csv', 'in/a/z.csv', 'in/a/deep/er/y.csv', 'in/B.csv');
    expect(await names('in')).toEqual(['B.csv', 'a/deep/er/y.csv', 'a/z.csv', 'b.csv']);
  });

  it('names the folder of each file, that of the input for files at its root', async () => {
    await put('in/b.csv', 'in/a/z.csv', 'single/c.csv');
    expect((await find('in', 'single/c.csv')).files.map((file) => [file.relativePath, file.folderName])).toEqual([['a/z.csv', 'a'], ['c.csv', 'single'], ['in/b.csv', 'in']]);
  });

  it('leaves hidden files and folders out, unless one is named', async () => {
    await put('in/.hidden.csv', 'in/.git/x.csv', 'in/a.csv');
    expect(await names('in')).toEqual(['a.csv']);
    expect(await names('in/.hidden.csv')).toEqual(['.hidden.csv']);
  });

  it('gives the same whatever the order of the inputs', async () => {
    await put('one/a.csv', 'two/a.csv', 'three.csv');
    expect(await find('two', 'three.csv', 'one')).toEqual(await find('one', 'two', 'three.csv'));
  });

  it('puts the outer folder before names that two inputs share', async () => {
    await put('one/a.csv', 'one/b.csv', 'two/a.csv', 'three/c.csv');
    expect(await names('one', 'two', 'three')).toEqual(['one/a.csv', 'one/b.csv', 'three/c.csv', 'two/a.csv']);
  });

  it('tells two folders of one name apart, even when their files have different names', async () => {
    await put('x/run/a.csv', 'y/run/b.csv');
    const { files } = await find('x/run', 'y/run');
    expect(files.map((file) => [file.relativePath, file.folderName])).toEqual([['x/run/a.csv', 'run'], ['y/run/b.csv', 'run']]);
  });

  it('never lets two folders look like one, which would make one case of two', async () => {
    await put('first case/trend.csv', 'second case/signals.csv', 'third case/x.csv');
    expect(await names('first case', 'second case')).toEqual(['first case/trend.csv', 'second case/signals.csv']);
    expect(await names('first case', 'third case/x.csv')).toEqual(['first case/trend.csv', 'x.csv']);
    expect(await names('first case/trend.csv', 'third case/x.csv')).toEqual(['first case/trend.csv', 'third case/x.csv']);
  });

  it('reads a file once when inputs overlap', async () => {
    await put('in/a/z.csv', 'in/b.csv');
    expect(await names('in/a', 'in', 'in/a/z.csv', 'in')).toEqual(['a/z.csv', 'b.csv']);
  });

  it('follows links, once each, and gets out of loops', async () => {
    await put('in/a/z.csv', 'elsewhere/e.csv');
    await symlink(join(top, 'in'), join(top, 'in/a/loop'));
    await symlink(join(top, 'elsewhere'), join(top, 'in/more'));
    await symlink(join(top, 'in/a/z.csv'), join(top, 'in/again.csv'));
    expect(await names('in')).toEqual(['a/z.csv', 'more/e.csv']);
  });

  it('names a link that leads nowhere', async () => {
    await put('in/a.csv');
    await symlink(join(top, 'gone.csv'), join(top, 'in/dead.csv'));
    const { files, unreadable } = await find('in');
    expect(files).toHaveLength(1);
    expect(unreadable).toMatchObject([{ relativePath: 'dead.csv', message: 'The link leads nowhere.' }]);
  });

  it('does not read its own output, and says so', async () => {
    await put('in/a.csv', 'in/out/cases.csv');
    const found = await findInputs([join(top, 'in')], join(top, 'in/out'));
    expect(found.files.map((file) => file.relativePath)).toEqual(['a.csv']);
    expect(found.notes).toHaveLength(1);
  });

  it('finds nothing in an empty folder', async () => {
    await mkdir(join(top, 'in'));
    expect(await find('in')).toEqual({ files: [], unreadable: [], notes: [] });
  });

  it('knows the length of each file', async () => {
    await put('in/a.csv');
    expect((await find('in')).files[0]?.byteLength).toBe(1);
  });

  it.each([
    ['an input that is not there', ['gone'], 'There is no such input'],
    ['an input below a file', ['in/a.csv/b'], 'There is no such input'],
    ['an input that is the output folder', ['in', 'results'], 'output folder is also an input'],
    ['an input that lies in the output folder', ['results/cases.csv'], 'lies in the output folder'],
  ])('refuses %s', async (_, inputs, message) => {
    await put('in/a.csv', 'results/cases.csv');
    const reason: unknown = await find(...inputs).catch((error: unknown) => error);
    expect(reason).toBeInstanceOf(WrongCall);
    expect((reason as WrongCall).message).toContain(message);
  });

  it.runIf(process.platform === 'linux')('refuses what is neither file nor folder', async () => {
    await expect(findInputs(['/dev/null'], out)).rejects.toThrow('neither a file nor a folder');
  });
});
