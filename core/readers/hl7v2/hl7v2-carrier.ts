import { shownPath } from '../../identity/shown-path.ts';
import { asciiHead } from '../ascii-head.ts';
import { carriedReading, statedZone } from '../carried-reading.ts';
import { chooseRules } from '../choose-rules.ts';
import { ByteNormalizer, CellDecoder, sniffEncoding } from '../decode-text.ts';
import { PhraseBook } from '../phrase-book.ts';
import { digestOf, failed, readHead } from '../read-source.ts';
import type { ByteSource, ImportOptions } from '../reader.ts';
import type { FileReading } from '../reading.ts';
import type { Carrier } from '../registry.ts';
import { RowAccount } from '../row-account.ts';
import { StatedWords } from '../stated-words.ts';
import { OruReader } from './oru-reader.ts';
import { SegmentCutter } from './segment-cutter.ts';

/** HL7 v2: any number of messages one after another, in a batch or in the frames of the lower layer protocol. */
export const HL7V2: Carrier = {
  id: 'hl7v2',
  sniff: (head) => /^[\s\u000b]*(?:MSH|FHS|BHS)([^\w\s])[^\w\s]{3,5}\1/.test(asciiHead(head)),
  read: readHl7v2,
};

async function readHl7v2(source: ByteSource, options: ImportOptions): Promise<FileReading[]> {
  const head = await readHead(source, options.signal);
  const rules = chooseRules(options.mapping, source.relativePath, null, shownPath(source.relativePath, options))?.rules ?? null;
  const sniffed = sniffEncoding(head.bytes, head.isWhole, rules?.encoding ?? null);
  if (!sniffed.ok) return [failed(source, await digestOf(source, options), '', sniffed.failure.message, sniffed.failure.line ?? 1, sniffed.failure.remedy ?? null)];
  const encoding = sniffed.value;
  const zone = statedZone(rules, options);
  if (zone === null) return [failed(source, await digestOf(source, options), encoding.label, `The time zone "${rules?.zone ?? options.zone ?? ''}" is not known.`, null, 'Use a name such as Europe/Berlin or UTC.')];
  const normalizer = new ByteNormalizer(encoding);
  const decoder = new CellDecoder(normalizer.cellEncoding);
  const account = new RowAccount(source.relativePath, [], decoder);
  const phrases = new PhraseBook(rules?.phrases);
  const words = new StatedWords(rules);
  const reader = new OruReader(account, zone.clock, rules, phrases, words, options.keepIdentifiers);
  const cutter = new SegmentCutter({
    segment: (bytes, line) => reader.segment(decoder.decode(bytes, 0, bytes.length).trimStart(), line),
    tooLong: (line) => account.rejectText(line, 'segment longer than 1 MB', ''),
  });
  const digest = options.createDigest();
  let bytesDone = 0;
  for await (const chunk of source.open()) {
    options.signal?.throwIfAborted();
    if (chunk.length === 0) continue;
    digest.update(chunk);
    cutter.push(normalizer.push(chunk));
    bytesDone += chunk.length;
    options.onProgress?.({ stage: 'reading', file: source.relativePath, bytesDone, bytesTotal: source.byteLength });
  }
  options.signal?.throwIfAborted();
  cutter.push(normalizer.finish());
  cutter.finish();
  const result = reader.finish();
  const hasTimes = result.cases.some((reading) => reading.channels.length + reading.events.length + reading.drugs.length > 0);
  return [
    carriedReading({
      source,
      sha256: digest.hex(),
      layout: 'hl7 v2',
      encoding: encoding.label,
      account,
      rules,
      zone,
      phrases,
      words,
      clock: hasTimes ? 'absolute' : null,
      offsetMin: reader.offsetMin,
      nLocal: reader.nLocal,
      notes: [...(encoding.note === null ? [] : [encoding.note]), ...result.notes],
      guesses: result.guesses,
      columns: result.columns,
      cases: result.cases,
      areKeysMasked: result.areKeysMasked,
      withheld: result.withheld,
      identifiersSeen: result.identifiersSeen,
      failureWithoutRows: { message: 'The file holds HL7 v2 messages, but no observation of a result message (OBX in ORU^R01).', remedy: 'Export the results (ORU^R01), or export the data as CSV.' },
    }),
  ];
}
