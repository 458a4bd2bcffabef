import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { MARKS_MOST } from '../../../../core/model/case-mark.ts';
import type { CaseMark } from '../../../../core/model/case-mark.ts';
import { buildFolderShelf } from '../../../../electron/host/folder-shelf.ts';
import { buildKeptMarks } from '../../../../electron/host/kept-marks.ts';
import type { LibraryDocument } from '../../../../electron/host/library-shelf.ts';

let folder: string;
let path: string;
let document: LibraryDocument;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-marks-'));
  path = join(folder, 'case-marks.json');
  document = buildFolderShelf(folder).document('case-marks');
});
afterEach(async () => {
  await rm(folder, { recursive: true, force: true });
});

const KEY = 'a'.repeat(32);
function mark(digit: string, part: Partial<CaseMark> = {}): CaseMark {
  return { markId: digit.repeat(32), clock: 'absolute', startMs: 1000, endMs: null, text: '', ...part };
}

describe('marks of cases', () => {
  it('are kept by case in time order, replaced by their id, and there for the next program', async () => {
    const marks = buildKeptMarks(document);
    expect(await marks.list(KEY)).toEqual([]);
    await marks.keep(KEY, mark('1', { startMs: 9000 }));
    expect(await marks.keep(KEY, mark('2', { startMs: 3000, endMs: 4000 }))).toEqual([mark('2', { startMs: 3000, endMs: 4000 }), mark('1', { startMs: 9000 })]);
    await marks.keep('b'.repeat(32), mark('3'));
    await marks.keep(KEY, mark('1', { startMs: 2000, text: 'new words' }));
    expect(await buildKeptMarks(document).list(KEY)).toEqual([mark('1', { startMs: 2000, text: 'new words' }), mark('2', { startMs: 3000, endMs: 4000 })]);
    expect(await marks.remove(KEY, '1'.repeat(32))).toEqual([mark('2', { startMs: 3000, endMs: 4000 })]);
    expect(await marks.remove(KEY, 'f'.repeat(32))).toEqual([mark('2', { startMs: 3000, endMs: 4000 })]);
  });

  it('leave no word on the disk when they, or their case, are removed', async () => {
    const marks = buildKeptMarks(document);
    await marks.keep(KEY, mark('1', { text: 'Anaesthetist left the room' }));
    await marks.keep(KEY, mark('2', { text: 'second' }));
    await marks.remove(KEY, '1'.repeat(32));
    expect(await readFile(path, 'utf8')).not.toContain('left the room');
    await marks.forget(KEY);
    expect(await readFile(path, 'utf8')).not.toContain('second');
    await marks.forget(KEY);
    expect(await marks.list(KEY)).toEqual([]);
  });

  it('are bounded', async () => {
    const full = Array.from({ length: MARKS_MOST }, (_, i) => mark('0', { markId: i.toString(16).padStart(32, '0') }));
    await writeFile(path, JSON.stringify({ schema: 'lacuna-case-marks/1', cases: [{ caseKey: KEY, marks: full }] }));
    const marks = buildKeptMarks(document);
    await expect(marks.keep(KEY, mark('f'))).rejects.toMatchObject({ code: 'marks-full' });
    expect(await marks.keep(KEY, { ...full[3]!, text: 'one that is there may change' })).toHaveLength(MARKS_MOST);
  });

  it('that are damaged, or of a later version, are said to be, and are not written over', async () => {
    for (const text of ['{"schema":"lacuna-case-marks/1","cases":[{"caseKey":"x"', '{"schema":"lacuna-case-marks/2","cases":[]}']) {
      await writeFile(path, text);
      const marks = buildKeptMarks(document);
      await expect(marks.list(KEY)).rejects.toMatchObject({ code: 'marks-damaged' });
      await expect(marks.keep(KEY, mark('1'))).rejects.toMatchObject({ code: 'marks-damaged' });
      await expect(marks.forget(KEY)).rejects.toMatchObject({ code: 'marks-damaged' });
      expect(await readFile(path, 'utf8')).toBe(text);
    }
  });
});
