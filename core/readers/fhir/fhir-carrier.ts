import { asciiHead } from '../ascii-head.ts';
import { carriedReading } from '../carried-reading.ts';
import { ByteNormalizer, CellDecoder } from '../decode-text.ts';
import { openCoded, pushCoded } from '../open-coded.ts';
import { failed, type Head } from '../read-source.ts';
import type { ByteSource, ImportOptions } from '../reader.ts';
import type { FileReading } from '../reading.ts';
import type { Carrier } from '../registry.ts';
import { FhirReader } from './fhir-reader.ts';
import { FhirTime } from './fhir-time.ts';
import { DocumentSlicer, LineSlicer, type JsonSlicer, type SliceProblem, type SliceSink } from './json-slicer.ts';
import { readXmlResources } from './xml-tree.ts';

/** XML is taken in whole, so it has a limit; NDJSON has none. */
const MAX_XML_BYTES = 64 * 1024 * 1024;

const PROBLEM_WORDS: Readonly<Record<SliceProblem, string>> = {
  'too long': 'longer than 16 MB',
  'too deep': 'nested deeper than 64 levels',
  'not finished': 'the file ends inside this entry, or its brackets do not pair up; nothing after this line could be read',
  'no JSON': 'no JSON',
};

type Form = 'json' | 'xml';

function formOf(head: Uint8Array): Form | null {
  const text = asciiHead(head).trimStart();
  // A table never begins with a brace before a quote or with two brackets; JSON that is no FHIR is told so by this reader.
  if (/^(?:\{\s*["}]|\[\s*[[{\]])/.test(text)) return 'json';
  return text.startsWith('<') && /<\w+[^>]*\sxmlns\s*=\s*["']http:\/\/hl7\.org\/fhir["']/.test(text) ? 'xml' : null;
}

/** Returns the mode in which JSON is cut: line by line where the first whole line is a value of its own. */
function isLines(head: string): boolean {
  const lines = head.split(/\r\n|\n|\r/).slice(0, -1);
  const first = lines.map((line) => line.trim()).filter((line) => line !== '').slice(0, 20);
  let n = 0;
  for (const line of first) {
    if (!line.startsWith('{') || !line.endsWith('}')) continue;
    try {
      JSON.parse(line);
      n += 1;
    } catch {
      // A line that is no value of its own speaks for a document over several lines.
    }
  }
  return n > 0 && n * 2 >= first.length;
}

/** HL7 FHIR R4: a Bundle, a single resource or a list of them as JSON or XML, or NDJSON with a resource in each line. */
export const FHIR: Carrier = {
  id: 'fhir',
  sniff: (head) => formOf(head) !== null,
  read: readFhir,
};

async function readFhir(source: ByteSource, options: ImportOptions): Promise<FileReading[]> {
  const opened = await openCoded(source, options);
  if ('refused' in opened) return [opened.refused];
  const { head, rules, encoding, zone, normalizer, decoder, account, phrases, words } = opened;
  const time = new FhirTime(zone.clock);
  const reader = new FhirReader(account, time, rules, phrases, words, options.keepIdentifiers);
  const notes: string[] = encoding.note === null ? [] : [encoding.note];
  const form = formOf(head.bytes) ?? 'json';
  const sink: SliceSink = {
    value(bytes, line) {
      let value: unknown;
      try {
        value = JSON.parse(decoder.decode(bytes, 0, bytes.length));
      } catch {
        account.rejectText(line, 'no valid JSON', '');
        return;
      }
      reader.take(value, line);
    },
    broken(problem, line) {
      account.rejectText(line, PROBLEM_WORDS[problem], '');
    },
  };
  const slicer = form === 'xml' ? new WholeText() : isLines(headText(head, encoding)) ? new LineSlicer(sink) : new DocumentSlicer(sink);
  const sha256 = await pushCoded(source, options, normalizer, (bytes) => slicer.push(bytes));
  slicer.finish();
  if (slicer instanceof WholeText) {
    if (slicer.isTooLong) return [failed(source, sha256, encoding.label, 'FHIR in XML is read up to 64 MB; this file is longer.', null, 'Export it as JSON or NDJSON, which have no such limit.')];
    const bytes = slicer.take();
    const resources = readXmlResources(decoder.decode(bytes, 0, bytes.length));
    if (!resources.ok) return [failed(source, sha256, encoding.label, resources.failure.message, resources.failure.line ?? null, resources.failure.remedy ?? null)];
    for (const { node, fullUrl, line } of resources.value) reader.resource(node, fullUrl, line);
  }
  if (slicer instanceof DocumentSlicer) {
    if (slicer.isUnfinished) notes.push('The file ends before what it began was closed: it may be incomplete.');
    for (const shell of slicer.shells) if (!isBundle(decoder.decode(shell, 0, shell.length))) notes.push('What stands around the entries does not call itself a Bundle; its entries were read.');
  }
  const result = reader.finish();
  const { nLeftOut } = reader;
  const hasTimes = result.cases.some((reading) => reading.channels.length + reading.events.length + reading.drugs.length > 0);
  return [
    carriedReading({
      source,
      sha256,
      layout: form === 'xml' ? 'fhir xml' : slicer instanceof LineSlicer ? 'fhir ndjson' : 'fhir json',
      encoding: encoding.label,
      account,
      rules,
      zone,
      phrases,
      words,
      clock: hasTimes ? 'absolute' : null,
      offsetMin: time.offsetMin,
      nLocal: time.nLocal,
      notes: [...notes, ...result.notes],
      guesses: result.guesses,
      columns: result.columns,
      cases: result.cases,
      areKeysMasked: result.areKeysMasked,
      withheld: result.withheld,
      identifiersSeen: result.identifiersSeen,
      failureWithoutRows:
        nLeftOut > 0 ? null : { message: 'The file holds JSON or XML, but no FHIR resource.', remedy: 'Export Observation, MedicationAdministration and Procedure resources as a Bundle or as NDJSON, or export the data as CSV.' },
    }),
  ];
}

function headText(head: Head, encoding: ConstructorParameters<typeof ByteNormalizer>[0]): string {
  const normalizer = new ByteNormalizer(encoding);
  const bytes = normalizer.push(head.bytes);
  const text = new CellDecoder(normalizer.cellEncoding).decode(bytes, 0, bytes.length);
  // A last line without an end counts when there is nothing after it.
  return head.isWhole ? `${text}\n` : text;
}

function isBundle(shell: string): boolean {
  try {
    const value: unknown = JSON.parse(shell);
    return typeof value === 'object' && value !== null && 'resourceType' in value && value.resourceType === 'Bundle';
  } catch {
    return false;
  }
}

/** Gathers a file that is read whole, up to its limit. */
class WholeText implements JsonSlicer {
  isTooLong = false;
  private parts: Uint8Array[] = [];
  private size = 0;

  push(chunk: Uint8Array): void {
    this.size += chunk.length;
    if (this.size > MAX_XML_BYTES) {
      this.isTooLong = true;
      this.parts = [];
    }
    // A copy: the source may reuse its buffer for the next chunk.
    if (!this.isTooLong) this.parts.push(chunk.slice());
  }

  finish(): void {
    // Everything is there once the last chunk was pushed.
  }

  take(): Uint8Array {
    const out = new Uint8Array(this.parts.reduce((sum, part) => sum + part.length, 0));
    let at = 0;
    for (const part of this.parts) {
      out.set(part, at);
      at += part.length;
    }
    return out;
  }
}
