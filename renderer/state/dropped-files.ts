/** A file chosen for import, with its place inside what was chosen ('/' between parts). */
export interface ChosenFile {
  readonly relativePath: string;
  readonly body: Blob;
}

/** Files that systems put into folders by themselves; they hold no record and are not sent. */
const SYSTEM_FILE = /^(\.|Thumbs\.db$|desktop\.ini$)/i;

/** Returns whether a file is one that the operating system made for itself. */
export function isSystemFile(relativePath: string): boolean {
  return SYSTEM_FILE.test(relativePath.slice(relativePath.lastIndexOf('/') + 1));
}

/** Returns the files of a file or folder input; folder choices keep their path inside the folder. */
export function filesFromInput(files: Iterable<File>): ChosenFile[] {
  return sortedFiles([...files].map((file) => ({ relativePath: file.webkitRelativePath === '' ? file.name : file.webkitRelativePath, body: file })));
}

function sortedFiles(files: readonly ChosenFile[]): ChosenFile[] {
  return files
    .filter((file) => !isSystemFile(file.relativePath))
    .sort((a, b) => (a.relativePath < b.relativePath ? -1 : a.relativePath > b.relativePath ? 1 : 0));
}

/** Returns every file that was dropped, folders searched to any depth. Must be called inside the drop event. */
export async function filesFromDrop(items: Iterable<DataTransferItem>): Promise<ChosenFile[]> {
  // Everything is taken out at once: after the event the items are empty.
  const taken = [...items].flatMap((item) => {
    if (item.kind !== 'file') return [];
    const entry = item.webkitGetAsEntry();
    if (entry !== null) return [filesUnder(entry, '')];
    const file = item.getAsFile(); // some sources (mail programs) hand over a file that lies in no folder
    return file === null ? [] : [Promise.resolve([{ relativePath: file.name, body: file }])];
  });
  return sortedFiles((await Promise.all(taken)).flat());
}

async function filesUnder(entry: FileSystemEntry, folder: string): Promise<ChosenFile[]> {
  const path = folder === '' ? entry.name : `${folder}/${entry.name}`;
  if (entry.isFile) {
    // the entry says it is a file, and the interface of the platform has no narrower way to say it
    const body = await new Promise<File>((resolve, reject) => (entry as FileSystemFileEntry).file(resolve, reject));
    return [{ relativePath: path, body }];
  }
  // not a file, so a folder: there is no third kind
  const reader = (entry as FileSystemDirectoryEntry).createReader();
  const inside: FileSystemEntry[] = [];
  for (;;) {
    const batch = await new Promise<FileSystemEntry[]>((resolve, reject) => reader.readEntries(resolve, reject));
    if (batch.length === 0) break; // the platform hands out folders in batches of 100 until one is empty
    inside.push(...batch);
  }
  const found = await Promise.all(inside.map((inner) => filesUnder(inner, path)));
  return found.flat();
}
