import { describe, expect, it } from 'vitest';
import { filesFromDrop, filesFromInput, isSystemFile } from '../../../../renderer/state/dropped-files.ts';

/* The platform's own entries exist only in a browser; these stand in for a dropped folder, in batches as browsers hand them out. */
function fileEntry(name: string): FileSystemEntry {
  return { name, isFile: true, isDirectory: false, file: (resolve: (file: File) => void) => resolve(new File(['x'], name)) } as unknown as FileSystemEntry;
}
function folderEntry(name: string, inside: FileSystemEntry[], batch: number): FileSystemEntry {
  return {
    name, isFile: false, isDirectory: true,
    createReader: () => {
      let at = 0;
      return { readEntries: (resolve: (entries: FileSystemEntry[]) => void) => { resolve(inside.slice(at, at + batch)); at += batch; } };
    },
  } as unknown as FileSystemEntry;
}
const drop = (...entries: FileSystemEntry[]): DataTransferItem[] => entries.map((entry) => ({ kind: 'file', webkitGetAsEntry: () => entry }) as unknown as DataTransferItem);

describe('what was dropped', () => {
  it('is searched to any depth, with the path kept', async () => {
    const files = await filesFromDrop(drop(folderEntry('export', [fileEntry('b.csv'), folderEntry('case 2', [fileEntry('a.csv')], 100)], 100), fileEntry('single.csv')));
    expect(files.map((file) => file.relativePath)).toEqual(['export/b.csv', 'export/case 2/a.csv', 'single.csv']);
  });
  it('is complete for folders of more than one batch', async () => {
    const many = Array.from({ length: 205 }, (_, i) => fileEntry(`f${String(i).padStart(3, '0')}.csv`));
    expect(await filesFromDrop(drop(folderEntry('many', many, 100)))).toHaveLength(205);
  });
  it('takes a file that lies in no folder, and leaves out dropped text', async () => {
    const loose = { kind: 'file', webkitGetAsEntry: () => null, getAsFile: () => new File(['x'], 'loose.csv') } as unknown as DataTransferItem;
    const text = { kind: 'string', webkitGetAsEntry: () => null, getAsFile: () => null } as unknown as DataTransferItem;
    expect((await filesFromDrop([loose, text])).map((file) => file.relativePath)).toEqual(['loose.csv']);
  });
  it('leaves out files that systems put into folders', async () => {
    expect(['.DS_Store', 'x/Thumbs.db', 'a/desktop.ini', 'a/data.csv'].map(isSystemFile)).toEqual([true, true, true, false]);
    expect(await filesFromDrop(drop(folderEntry('f', [fileEntry('.DS_Store')], 100)))).toEqual([]);
  });
});

describe('what was chosen', () => {
  it('keeps the folder path where the browser gives one', () => {
    const inFolder = Object.defineProperty(new File(['x'], 'b.csv'), 'webkitRelativePath', { value: 'export/b.csv' });
    const alone = Object.defineProperty(new File(['x'], 'a.csv'), 'webkitRelativePath', { value: '' });
    expect(filesFromInput([inFolder, alone]).map((file) => file.relativePath)).toEqual(['a.csv', 'export/b.csv']);
  });
});
