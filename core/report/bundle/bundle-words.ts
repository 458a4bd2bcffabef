import type { ReleaseList } from '../../model/release.ts';
import { addFileWords, type ListedFile } from '../release/file-words.ts';
import { GatheredWords } from '../release/gathered-words.ts';
import { ownNames } from '../release/own-names.ts';
import { BUNDLE_FILES, tableName } from './bundle-names.ts';
import { bundleTables, CODES_TABLE, type BundleExtent } from './bundle-tables.ts';
import type { BundleSink } from './write-bundle.ts';

/** What the program writes alike for everybody, but for numbers of rows and digests: words in it are of its own wording. */
const OWN_FILES: ReadonlySet<string> = new Set([BUNDLE_FILES.dictionary, BUNDLE_FILES.columns, BUNDLE_FILES.sums, tableName(CODES_TABLE)]);

/**
 * Returns every word, date and code of a written bundle, with its numbers summed up by column; nothing of it is answered.
 * Shape   `names`: its files. A Parquet file holds what its CSV does and is not read a second time.
 */
export async function bundleWords(names: readonly string[], textOf: BundleSink['textOf'], extent: BundleExtent): Promise<ReleaseList> {
  const tables = new Map(bundleTables(extent).map(({ name, columns }) => [tableName(name), columns]));
  const own = ownNames([...tables.values()]);
  const gathered = new GatheredWords();
  for (const name of [...names].sort()) {
    const file: ListedFile = name.endsWith('.parquet') ? { name, text: [], isOwn: true } : { name, text: textOf(name), types: tables.get(name)?.map(({ type }) => type), isOwn: OWN_FILES.has(name) };
    await addFileWords(gathered, file, own);
  }
  return { ...gathered.list(), isKeepOnly: true };
}
