import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { buildFolderShelf } from '../../../../electron/host/folder-shelf.ts';
import { buildKeptLanes } from '../../../../electron/host/kept-lanes.ts';
import type { LibraryDocument } from '../../../../electron/host/library-shelf.ts';

let folder: string;
let path: string;
let document: LibraryDocument;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-lanes-'));
  path = join(folder, 'timeline-lanes.json');
  document = buildFolderShelf(folder).document('timeline-lanes');
});
afterEach(async () => {
  await rm(folder, { recursive: true, force: true });
});

describe('lanes of a library', () => {
  it('are those of the program until some are chosen, then there for the next program', async () => {
    expect(await buildKeptLanes(document).read()).toEqual({ lanes: [] });
    const choice = { lanes: [{ laneName: 'rate', isShown: true, heightPx: 120 }, { laneName: 'channel Paw', isShown: false, heightPx: null }] };
    await buildKeptLanes(document).keep(choice);
    expect(await buildKeptLanes(document).read()).toEqual(choice);
  });

  it('that are damaged are said to be, and are not written over', async () => {
    const texts = ['{', '{"schema":"lacuna-timeline-lanes/1","choice":{"lanes":[{"laneName":"rate","isShown":true,"heightPx":2}]}}', '{"schema":"lacuna-timeline-lanes/9","choice":{"lanes":[]}}'];
    for (const text of texts) {
      await writeFile(path, text);
      await expect(buildKeptLanes(document).read()).rejects.toMatchObject({ code: 'lanes-damaged' });
      await expect(buildKeptLanes(document).keep({ lanes: [] })).rejects.toMatchObject({ code: 'lanes-damaged' });
      expect(await readFile(path, 'utf8')).toBe(text);
    }
  });
});
