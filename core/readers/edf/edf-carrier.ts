import { shownPath } from '../../identity/shown-path.ts';
import { carriedReading, statedZone } from '../carried-reading.ts';
import { chooseRules } from '../choose-rules.ts';
import { CellDecoder } from '../decode-text.ts';
import { IdentityNotes } from '../identity-notes.ts';
import { markManual } from '../mark-manual.ts';
import { PhraseBook } from '../phrase-book.ts';
import { failed } from '../read-source.ts';
import type { ByteSource, ImportOptions } from '../reader.ts';
import type { CaseReading, FileReading } from '../reading.ts';
import type { Carrier } from '../registry.ts';
import { RowAccount } from '../row-account.ts';
import { StatedWords } from '../stated-words.ts';
import { FIXED_HEADER_BYTES, headerLength, looksLikeEdf, readEdfHeader, type EdfHeader } from './edf-header.ts';
import { EdfReader, type EdfResult } from './edf-reader.ts';

/** EDF and EDF+: signals in data records of one length, and annotations among them. */
export const EDF: Carrier = {
  id: 'edf',
  sniff: looksLikeEdf,
  read: readEdf,
};

/** Cuts a stream into a first piece and then pieces of one length. */
class PieceCutter {
  private readonly parts: Uint8Array[] = [];
  private size = 0;

  push(chunk: Uint8Array): void {
    // A copy: the source may reuse its buffer for the next chunk.
    this.parts.push(chunk.slice());
    this.size += chunk.length;
  }

  get length(): number {
    return this.size;
  }

  /** Returns the next `length` bytes; there must be as many. */
  take(length: number): Uint8Array {
    const out = new Uint8Array(length);
    let at = 0;
    while (at < length) {
      const part = this.parts[0] ?? out.subarray(0, 0);
      const used = Math.min(part.length, length - at);
      out.set(part.subarray(0, used), at);
      at += used;
      if (used === part.length) this.parts.shift();
      else this.parts[0] = part.subarray(used);
    }
    this.size -= length;
    return out;
  }
}

async function readEdf(source: ByteSource, options: ImportOptions): Promise<FileReading[]> {
  const rules = chooseRules(options.mapping, source.relativePath, null, shownPath(source.relativePath, options))?.rules ?? null;
  const zone = statedZone(rules, options);
  const account = new RowAccount(source.relativePath, [], new CellDecoder('windows-1252'));
  const digest = options.createDigest();
  const cutter = new PieceCutter();
  let fixed: Uint8Array | null = null;
  let header: EdfHeader | null = null;
  const phrases = new PhraseBook(rules?.phrases);
  const words = new StatedWords(rules);
  let reader: EdfReader | null = null;
  let failure: { readonly message: string; readonly line?: number | undefined; readonly remedy?: string | undefined } | null = zone === null ? { message: `The time zone "${rules?.zone ?? options.zone ?? ''}" is not known.`, remedy: 'Use a name such as Europe/Berlin or UTC.' } : null;
  let nRecords = 0;
  let bytesDone = 0;
  for await (const chunk of source.open()) {
    options.signal?.throwIfAborted();
    if (chunk.length === 0) continue;
    digest.update(chunk);
    bytesDone += chunk.length;
    options.onProgress?.({ stage: 'reading', file: source.relativePath, bytesDone, bytesTotal: source.byteLength });
    if (failure !== null) continue;
    cutter.push(chunk);
    if (fixed === null && cutter.length >= FIXED_HEADER_BYTES) fixed = cutter.take(FIXED_HEADER_BYTES);
    if (fixed !== null && header === null) {
      const rest = headerLength(fixed) - FIXED_HEADER_BYTES;
      if (cutter.length < rest) continue;
      const read = readEdfHeader(joined(fixed, cutter.take(Number.isNaN(rest) ? 0 : rest)));
      if (!read.ok) {
        failure = read.failure;
        continue;
      }
      header = read.value;
      const startMs = zone !== null && zone.clock !== null && header.hasDate ? zone.clock.toUtc(header.startMs, -Infinity) : header.startMs;
      reader = new EdfReader(header, startMs, account, rules, phrases, words);
    }
    if (header === null || reader === null) continue;
    while (cutter.length >= header.recordBytes) {
      nRecords += 1;
      const record = cutter.take(header.recordBytes);
      if (header.nRecords !== -1 && nRecords > header.nRecords) account.rejectText(nRecords, 'data record beyond the number that the header states', '');
      else reader.record(record, nRecords);
    }
  }
  options.signal?.throwIfAborted();
  const sha256 = digest.hex();
  if (failure === null && (header === null || reader === null)) failure = { message: 'The EDF header is broken: the file ends inside it.', line: 1, remedy: 'Export the recording again; check that it was copied whole.' };
  if (failure !== null || header === null || reader === null || zone === null) return [failed(source, sha256, 'binary', failure?.message ?? '', failure?.line ?? null, failure?.remedy ?? null)];
  const notes = ['Patient and recording fields of the header are not kept.'];
  if (cutter.length > 0) account.rejectText(nRecords + 1, 'the file ends inside this data record', '');
  if (header.nRecords === -1) notes.push('The header does not state how many data records there are; they were read to the end of the file.');
  else if (nRecords < header.nRecords) notes.push(`The header states ${header.nRecords} data records; the file holds ${nRecords}. It was cut off, or the recording was.`);
  if (!header.hasDate) notes.push('The header carries no date (1 January 1985 stands for one that was taken out); the times are a clock without a date.');
  return [finished(source, sha256, header, reader.finish(), !options.keepIdentifiers, { account, rules, zone, phrases, words, notes })];
}

function finished(source: ByteSource, sha256: string, header: EdfHeader, result: EdfResult, isGuarded: boolean, rest: Pick<Parameters<typeof carriedReading>[0], 'account' | 'rules' | 'zone' | 'phrases' | 'words'> & { readonly notes: readonly string[] }): FileReading {
  const { channels, events, drugs } = result;
  const guesses = [...result.guesses];
  const caseKey = rest.rules?.caseId ?? null;
  const identity = new IdentityNotes(isGuarded);
  // The subfields of EDF+: hospital code, sex, birth date, name; and in the recording the date, an administration code, who recorded, with what.
  identity.take('local patient identification', 'name', header.patient.replace(/_/g, ' '), 1);
  identity.take('local recording identification', 'name', header.recording.replace(/^Startdate \S+/, '').replace(/_/g, ' ').trim(), 1);
  for (const word of header.patient.split(' ')) identity.see(word.replace(/_/g, ' '));
  const reading: CaseReading = { caseKey, channels, events, drugs, attributes: {}, nDuplicates: 0, nConflicts: 0, firstConflictLine: null };
  return carriedReading({
    source,
    sha256,
    layout: header.kind.toLowerCase(),
    encoding: 'binary',
    account: rest.account,
    rules: rest.rules,
    zone: rest.zone,
    phrases: rest.phrases,
    words: rest.words,
    clock: header.hasDate ? 'absolute' : 'time of day',
    offsetMin: NaN,
    nLocal: 1,
    notes: [...rest.notes, ...result.notes],
    guesses,
    columns: result.columns,
    cases: markManual([reading], guesses),
    areKeysMasked: false,
    withheld: identity.entries(),
    identifiersSeen: identity.seen,
    failureWithoutRows: { message: 'The EDF file holds a header and no data record.', remedy: 'Check that the export covers the time of the case.' },
  });
}

function joined(a: Uint8Array, b: Uint8Array): Uint8Array {
  const out = new Uint8Array(a.length + b.length);
  out.set(a);
  out.set(b, a.length);
  return out;
}
