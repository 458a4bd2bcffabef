import { shownPath } from '../identity/shown-path.ts';
import type { ReadingRules } from '../model/mapping.ts';
import { statedZone, type StatedZone } from './carried-reading.ts';
import { chooseRules } from './choose-rules.ts';
import { ByteNormalizer, CellDecoder, sniffEncoding, type TextEncodingPlan } from './decode-text.ts';
import { PhraseBook } from './phrase-book.ts';
import { digestOf, failed, readHead, type Head } from './read-source.ts';
import type { ByteSource, ImportOptions } from './reader.ts';
import type { FileReading } from './reading.ts';
import { RowAccount } from './row-account.ts';
import { StatedWords } from './stated-words.ts';

/** A file of coded text (messages, resources) that is about to be read. */
export interface CodedText {
  readonly head: Head;
  readonly rules: ReadingRules | null;
  readonly encoding: TextEncodingPlan;
  readonly zone: StatedZone;
  readonly normalizer: ByteNormalizer;
  readonly decoder: CellDecoder;
  readonly account: RowAccount;
  readonly phrases: PhraseBook;
  readonly words: StatedWords;
}

/** Returns what every reader of coded text begins with, or the reading that says why the file cannot be read. */
export async function openCoded(source: ByteSource, options: ImportOptions): Promise<CodedText | { readonly refused: FileReading }> {
  const head = await readHead(source, options.signal);
  const rules = chooseRules(options.mapping, source.relativePath, null, shownPath(source.relativePath, options))?.rules ?? null;
  const sniffed = sniffEncoding(head.bytes, head.isWhole, rules?.encoding ?? null);
  if (!sniffed.ok) return { refused: failed(source, await digestOf(source, options), '', sniffed.failure.message, sniffed.failure.line ?? 1, sniffed.failure.remedy ?? null) };
  const encoding = sniffed.value;
  const zone = statedZone(rules, options);
  if (zone === null) return { refused: failed(source, await digestOf(source, options), encoding.label, `The time zone "${rules?.zone ?? options.zone ?? ''}" is not known.`, null, 'Use a name such as Europe/Berlin or UTC.') };
  const normalizer = new ByteNormalizer(encoding);
  const decoder = new CellDecoder(normalizer.cellEncoding);
  return { head, rules, encoding, zone, normalizer, decoder, account: new RowAccount(source.relativePath, [], decoder), phrases: new PhraseBook(rules?.phrases), words: new StatedWords(rules) };
}

/** Pushes a whole file, normalized, into `push`; returns its digest. Aborts between chunks. */
export async function pushCoded(source: ByteSource, options: ImportOptions, normalizer: ByteNormalizer, push: (bytes: Uint8Array) => void): Promise<string> {
  const digest = options.createDigest();
  let bytesDone = 0;
  for await (const chunk of source.open()) {
    options.signal?.throwIfAborted();
    if (chunk.length === 0) continue;
    digest.update(chunk);
    push(normalizer.push(chunk));
    bytesDone += chunk.length;
    options.onProgress?.({ stage: 'reading', file: source.relativePath, bytesDone, bytesTotal: source.byteLength });
  }
  options.signal?.throwIfAborted();
  push(normalizer.finish());
  return digest.hex();
}
