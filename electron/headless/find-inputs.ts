import type { Dirent } from 'node:fs';
import { readdir, realpath, stat } from 'node:fs/promises';
import { basename, dirname, join, resolve, sep } from 'node:path';
import type { InputFile } from '../../core/worker/analysis-service.ts';

/** Something under an input that cannot be read as a file. */
export interface UnreadableInput {
  readonly relativePath: string;
  readonly message: string;
  readonly remedy: string;
}

export interface FoundInputs {
  /** Sorted by relative path (code units), whatever the order of the inputs. */
  readonly files: readonly InputFile[];
  readonly unreadable: readonly UnreadableInput[];
  /** What was left out without being a fault, for the user to know. */
  readonly notes: readonly string[];
}

/** A wrong call: the message says what is wrong with which argument. */
export class WrongCall extends Error {}

interface Found {
  readonly path: string;
  /** How many parts of the path make the name in the reports, counted from its end. */
  readonly depth: number;
  readonly byteLength: number;
  /** Given by itself, not found in a folder. */
  readonly isLone: boolean;
  readonly fault: { readonly message: string; readonly remedy: string } | null;
}

/**
 * Returns the files of the given inputs. Folders are searched to any depth; hidden entries and the output folder are left out.
 * A file is read once, however often the inputs or symbolic links lead to it: real folders come before links, links in the order of their names.
 * Names in reports are relative to the input; where two would be alike, or two folders could be taken for one,
 * as many of their outer folders are put before them as tell them apart; a file given by itself keeps its short name where it can.
 * Errors  throws WrongCall for an input that is not there, may not be read, or is neither file nor folder.
 */
export async function findInputs(inputs: readonly string[], outFolder: string): Promise<FoundInputs> {
  const out = await realPathOf(outFolder);
  const search = new Search(out);
  const roots = [...new Set(inputs.map((input) => resolve(input)))].sort();
  const rootFiles: string[] = [];
  for (const root of roots) {
    const kind = await kindOf(root);
    if (kind === 'file') {
      if (dirname(await realPathOf(root)) === out) throw new WrongCall(`The input lies in the output folder: ${root}. Choose another --out.`);
      rootFiles.push(root);
    } else if ((await realPathOf(root)) === out) throw new WrongCall(`The output folder is also an input: ${root}. Choose another --out.`);
    else await search.folder(root, 1, true);
  }
  await search.links();
  for (const file of rootFiles) await search.file(file, 1, true);
  return { ...named(search.found), notes: search.notes };
}

async function kindOf(root: string): Promise<'file' | 'folder'> {
  const stats = await stat(root).catch((error: unknown) => {
    throw new WrongCall(codeOf(error) === 'ENOENT' || codeOf(error) === 'ENOTDIR' ? `There is no such input: ${root}` : `The input cannot be read (${codeOf(error)}): ${root}`);
  });
  if (stats.isDirectory()) return 'folder';
  if (stats.isFile()) return 'file';
  throw new WrongCall(`The input is neither a file nor a folder: ${root}`);
}

class Search {
  readonly found: Found[] = [];
  readonly notes: string[] = [];
  readonly #out: string;
  readonly #seen = new Set<string>();
  #links: { path: string; depth: number }[] = [];

  constructor(out: string) {
    this.#out = out;
  }

  /** `depth` is that of the entries of the folder. */
  async folder(path: string, depth: number, isRoot = false): Promise<void> {
    const real = await realPathOf(path);
    if (real === this.#out) {
      this.notes.push('The output folder lies inside an input; what it holds was not read.');
      return;
    }
    if (this.#seen.has(real)) return;
    this.#seen.add(real);
    let entries: Dirent[];
    try {
      entries = await readdir(path, { withFileTypes: true });
    } catch (error) {
      if (isRoot) throw new WrongCall(`The folder cannot be opened (${codeOf(error)}): ${path}`);
      this.#fault(path, depth - 1, 'The folder may not be opened.', 'Ask for permission to read it.');
      return;
    }
    for (const entry of entries.sort((a, b) => (a.name < b.name ? -1 : 1))) {
      if (entry.name.startsWith('.')) continue;
      const inner = join(path, entry.name);
      if (entry.isSymbolicLink()) this.#links.push({ path: inner, depth });
      else if (entry.isDirectory()) await this.folder(inner, depth + 1);
      else if (entry.isFile()) await this.file(inner, depth);
      else this.#fault(inner, depth, 'This is neither a file nor a folder.', 'Leave it out.');
    }
  }

  async file(path: string, depth: number, isLone = false): Promise<void> {
    const real = await realPathOf(path);
    if (this.#seen.has(real)) return;
    this.#seen.add(real);
    try {
      this.found.push({ path, depth, byteLength: (await stat(path)).size, isLone, fault: null });
    } catch (error) {
      this.#fault(path, depth, `The file cannot be read (${codeOf(error)}).`, 'Put it back, or leave it out.');
    }
  }

  /** Follows the symbolic links met so far, and those behind them, once everything real is known. */
  async links(): Promise<void> {
    while (this.#links.length > 0) {
      const links = this.#links.sort((a, b) => (a.path < b.path ? -1 : 1));
      this.#links = [];
      for (const { path, depth } of links) {
        const stats = await stat(path).catch(() => null);
        if (stats === null) this.#fault(path, depth, 'The link leads nowhere.', 'Put back what it pointed to, or leave it out.');
        else if (stats.isDirectory()) await this.folder(path, depth + 1);
        else if (stats.isFile()) await this.file(path, depth);
        else this.#fault(path, depth, 'This is neither a file nor a folder.', 'Leave it out.');
      }
    }
  }

  #fault(path: string, depth: number, message: string, remedy: string): void {
    this.found.push({ path, depth, byteLength: 0, isLone: false, fault: { message, remedy } });
  }
}

/** Gives every found path its name: the shortest end of the path that is its own, one depth per folder. */
function named(found: readonly Found[]): Pick<FoundInputs, 'files' | 'unreadable'> {
  const folders = new Map<string, { files: Found[]; depth: number }>();
  for (const item of found) {
    const folder = folders.get(dirname(item.path)) ?? { files: [], depth: 0 };
    folder.files.push(item);
    folder.depth = Math.max(folder.depth, item.depth);
    folders.set(dirname(item.path), folder);
  }
  for (let isUnique = false; !isUnique; ) {
    // What is before the name of a file says which case it belongs to: two folders must never look alike there.
    const owners = new Map<string, Set<string>>();
    for (const [path, { files, depth }] of folders) {
      const keys = [`folder ${endOf(path, depth - 1)}`, ...files.map((item) => `file ${endOf(item.path, depth)}`)];
      for (const key of keys) owners.set(key, (owners.get(key) ?? new Set()).add(path));
    }
    const alike = new Set([...owners.values()].filter((paths) => paths.size > 1).flatMap((paths) => outOfEachOthersWay([...paths].map((path) => ({ path, isLone: folders.get(path)?.files.every((item) => item.isLone) === true })))));
    for (const path of alike) {
      const folder = folders.get(path);
      if (folder !== undefined) folder.depth += 1;
    }
    isUnique = alike.size === 0;
  }
  const files: InputFile[] = [];
  const unreadable: UnreadableInput[] = [];
  for (const [path, folder] of folders) {
    for (const item of folder.files) {
      const relativePath = endOf(item.path, folder.depth);
      if (item.fault !== null) unreadable.push({ relativePath, ...item.fault });
      else files.push({ path: item.path, relativePath, folderName: basename(path), byteLength: item.byteLength });
    }
  }
  const byName = (a: { relativePath: string }, b: { relativePath: string }): number => (a.relativePath < b.relativePath ? -1 : 1);
  return { files: files.sort(byName), unreadable: unreadable.sort(byName) };
}

/** Returns which of the folders that look alike take one more part of their path: files given by themselves keep the short name where they can. */
function outOfEachOthersWay(folders: readonly { readonly path: string; readonly isLone: boolean }[]): string[] {
  const searched = folders.filter(({ isLone }) => !isLone);
  return (folders.length - searched.length === 1 ? searched : folders).map(({ path }) => path);
}

/** Returns the last `depth` parts of a path with '/' between them. */
function endOf(path: string, depth: number): string {
  return depth <= 0 ? '' : path.split(sep).slice(-depth).join('/');
}

/** Returns where a path really lies; a path that is not there yet as its nearest existing folder says. */
async function realPathOf(path: string): Promise<string> {
  const absolute = resolve(path);
  try {
    return await realpath(absolute);
  } catch {
    const parent = dirname(absolute);
    return parent === absolute ? absolute : join(await realPathOf(parent), basename(absolute));
  }
}

/** Returns the operating system's word for what went wrong (`EACCES`). */
export function codeOf(error: unknown): string {
  return error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : 'unknown';
}
