import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { buildFolderShelf } from '../../../../electron/host/folder-shelf.ts';
import type { LibraryDocument } from '../../../../electron/host/library-shelf.ts';
import { buildParameterSets } from '../../../../electron/host/parameter-sets.ts';
import { parametersWith } from '../../../builders/parameters.ts';

let folder: string;
let path: string;
let document: LibraryDocument;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-sets-'));
  path = join(folder, 'parameter-sets.json');
  document = buildFolderShelf(folder).document('parameter-sets');
});
afterEach(async () => {
  await rm(folder, { recursive: true, force: true });
});

describe('sets of parameters', () => {
  it('are kept by name, in the order of their names, and there for the next program', async () => {
    const sets = buildParameterSets(document);
    expect(await sets.list()).toEqual([]);
    const b = parametersWith({ name: 'b', minDurationS: 60 });
    const a = parametersWith({ name: 'a', bridgeS: 0 });
    await sets.save(b);
    expect((await sets.save(a)).map(({ name }) => name)).toEqual(['a', 'b']);
    await sets.save({ ...a, bridgeS: 20 });
    expect(await buildParameterSets(document).list()).toEqual([{ ...a, bridgeS: 20 }, b]);
    expect(await sets.remove('a')).toEqual([b]);
    expect(await sets.remove('never there')).toEqual([b]);
  });

  it('may not take a name of the program', async () => {
    for (const name of ['default', 'own', 'child']) await expect(buildParameterSets(document).save(parametersWith({ name }))).rejects.toMatchObject({ code: 'name-taken' });
  });

  it('take the default for a parameter that an earlier version did not know', async () => {
    const { lagMaxS: _unknownThen, ...old } = parametersWith({ name: 'old', minDurationS: 12 });
    await writeFile(path, JSON.stringify({ schema: 'lacuna-parameter-sets/1', sets: [old] }));
    expect(await buildParameterSets(document).list()).toEqual([{ ...old, lagMaxS: DEFAULT_PARAMETERS.lagMaxS }]);
  });

  it('that are damaged are said to be, and are not overwritten', async () => {
    await writeFile(path, '{"schema":"lacuna-parameter-sets/1","sets":[{"name":"x","minDurationS":"soon"}]}');
    const sets = buildParameterSets(document);
    await expect(sets.list()).rejects.toMatchObject({ code: 'sets-damaged' });
    await expect(sets.save(parametersWith({ name: 'y' }))).rejects.toMatchObject({ code: 'sets-damaged' });
    expect(await readFile(path, 'utf8')).toContain('soon');
  });
});
