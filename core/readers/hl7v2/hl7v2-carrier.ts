import { asciiHead } from '../ascii-head.ts';
import { carriedReading } from '../carried-reading.ts';
import { openCoded, pushCoded } from '../open-coded.ts';
import type { ByteSource, ImportOptions } from '../reader.ts';
import type { FileReading } from '../reading.ts';
import type { Carrier } from '../registry.ts';
import { OruReader } from './oru-reader.ts';
import { SegmentCutter } from './segment-cutter.ts';

/** HL7 v2: any number of messages one after another, in a batch or in the frames of the lower layer protocol. */
export const HL7V2: Carrier = {
  id: 'hl7v2',
  sniff: (head) => /^[\s\u000b]*(?:MSH|FHS|BHS)([^\w\s])[^\w\s]{3,5}\1/.test(asciiHead(head)),
  read: readHl7v2,
};

async function readHl7v2(source: ByteSource, options: ImportOptions): Promise<FileReading[]> {
  const opened = await openCoded(source, options);
  if ('refused' in opened) return [opened.refused];
  const { rules, encoding, zone, normalizer, decoder, account, phrases, words } = opened;
  const reader = new OruReader(account, zone.clock, rules, phrases, words, options.keepIdentifiers);
  const cutter = new SegmentCutter({
    segment: (bytes, line) => reader.segment(decoder.decode(bytes, 0, bytes.length).trimStart(), line),
    tooLong: (line) => account.rejectText(line, 'segment longer than 1 MB', ''),
  });
  const sha256 = await pushCoded(source, options, normalizer, (bytes) => cutter.push(bytes));
  cutter.finish();
  const result = reader.finish();
  const hasTimes = result.cases.some((reading) => reading.channels.length + reading.events.length + reading.drugs.length > 0);
  return [
    carriedReading({
      source,
      sha256,
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
