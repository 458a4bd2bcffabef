import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { buildFolderShelf } from '../../../../electron/host/folder-shelf.ts';
import { buildKeptReportSetting } from '../../../../electron/host/kept-report-setting.ts';
import type { LibraryDocument } from '../../../../electron/host/library-shelf.ts';

let folder: string;
let path: string;
let document: LibraryDocument;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-report-setting-'));
  path = join(folder, 'report-setting.json');
  document = buildFolderShelf(folder).document('report-setting');
});
afterEach(async () => {
  await rm(folder, { recursive: true, force: true });
});

describe('the confidentiality text of a library', () => {
  it('is the neutral one until another is kept, which is there for the next program; none is one too', async () => {
    expect(await buildKeptReportSetting(document).read()).toEqual({ confidentialityText: 'Confidential – quality improvement – see local policy' });
    await buildKeptReportSetting(document).keep({ confidentialityText: 'Peer review, house rule' });
    expect(await buildKeptReportSetting(document).read()).toEqual({ confidentialityText: 'Peer review, house rule' });
    await buildKeptReportSetting(document).keep({ confidentialityText: '' });
    expect(await buildKeptReportSetting(document).read()).toEqual({ confidentialityText: '' });
  });

  it('that is damaged, too long or of a later version is said to be, and is not written over', async () => {
    for (const text of ['{', JSON.stringify({ schema: 'lacuna-report-setting/1', setting: { confidentialityText: 'x'.repeat(121) } }), '{"schema":"lacuna-report-setting/9","setting":{"confidentialityText":""}}']) {
      await writeFile(path, text);
      await expect(buildKeptReportSetting(document).read()).rejects.toMatchObject({ code: 'report-setting-damaged' });
      await expect(buildKeptReportSetting(document).keep({ confidentialityText: '' })).rejects.toMatchObject({ code: 'report-setting-damaged' });
      expect(await readFile(path, 'utf8')).toBe(text);
    }
  });
});
