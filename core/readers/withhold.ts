import { countWords } from '../base/count-words.ts';
import { knownIdentifiers } from '../identity/known-identifiers.ts';
import { personInName } from '../identity/path-mask.ts';
import { scrubText, type ScrubContext } from '../identity/scrub-text.ts';
import { caseCode, shownName, shownPath, type Door } from '../identity/shown-path.ts';
import { WithheldTally } from '../identity/withheld-tally.ts';
import { MARK } from '../model/channel.ts';
import type { RejectedRow, Withheld } from '../model/import-report.ts';
import { civilFromDays, DAY_MS } from '../time/civil.ts';
import type { CaseReading, FileReading, RawChannel, RawDrug, RawEvent } from './reading.ts';
import type { Shelf } from './shelf.ts';

/** Texts that come again on many rows are looked through once. */
const MOST_CACHED = 200_000;

/**
 * Returns a reading as it may leave its reader: keys of persons and records replaced by codes, free texts, labels, attributes,
 * notes and rejected rows without what looks like an identifier, names of files and folders likewise, and the report's list of what
 * was withheld. With `keepIdentifiers` nothing is changed and the list says what was kept. Cases that were set aside on a shelf are
 * brought back one at a time, and put away with the rejected rows.
 */
export function withhold(reading: FileReading, door: Door, shelf?: Shelf): FileReading {
  const { identifiersSeen, ...rest } = reading;
  if (door.keepIdentifiers) {
    const kept = rest.report.withheld ?? [];
    const note = 'Identifiers were kept, as asked for: no name, number, birth date or free text was looked for or left out.';
    return putAway({ ...rest, report: { ...rest.report, withheld: kept, notes: [...rest.report.notes, note] } }, shelf, (own) => own);
  }
  const tally = new WithheldTally(rest.report.withheld);
  const scrubber = new Scrubber(rest, identifiersSeen ?? [], tally);
  const { cases } = putAway({ ...rest, rejectedRows: [] }, shelf, (own) => caseWithout(own, rest.areKeysMasked, scrubber, door, tally));
  const names = new NameMask(rest, door, tally);
  const { report } = rest;
  const shown = <T>(value: T): T => mapTexts(value, (text) => scrubber.text(names.text(text), null));
  const withNames = {
    ...report,
    file: shownPath(report.file, door),
    rejected: shown(report.rejected),
    notes: report.notes.map((note) => shown(note)),
    guesses: shown(report.guesses),
    columns: shown(report.columns),
    failure: shown(report.failure),
    ...(report.unknown_phrases === undefined ? {} : { unknown_phrases: report.unknown_phrases.map((phrase) => ({ ...phrase, text: scrubber.look(phrase.text).text })) }),
    ...(report.container === undefined ? {} : { container: { ...report.container, file: shownPath(report.container.file, door) } }),
  };
  const rejectedRows = rest.rejectedRows.map((row) => ({ ...row, file: withNames.file, reason: shown(row.reason), row: scrubber.text(row.row, row.line) }));
  const withheld = tally.list();
  return {
    ...rest,
    source: { ...rest.source, relativePath: shownPath(rest.source.relativePath, door), folder: shownPath(rest.source.folder, door), folderName: shownName(rest.source.folderName, door).name, name: shownName(rest.source.name, door).name },
    ...(rest.bundle === undefined ? {} : { bundle: { folder: shownPath(rest.bundle.folder, door), folderName: shownName(rest.bundle.folderName, door).name } }),
    report: { ...withNames, withheld, notes: [...withNames.notes, ...textNote(withheld)] },
    ...rowsAway(rejectedRows, shelf),
    cases,
  };
}

/** Returns a reading whose cases are finished, one at a time, and put away; without a shelf they stay. */
function putAway(reading: FileReading, shelf: Shelf | undefined, finish: (own: CaseReading) => CaseReading): FileReading {
  if (shelf === undefined) return { ...reading, cases: reading.cases.map(finish) };
  const cases = reading.cases.map((own) => shelf.putAway(finish(shelf.bringBack(own))));
  return { ...reading, ...rowsAway(reading.rejectedRows, shelf), cases };
}

function rowsAway(rows: readonly RejectedRow[], shelf: Shelf | undefined): Pick<FileReading, 'rejectedRows' | 'shelvedRows'> {
  return shelf === undefined ? { rejectedRows: rows } : { rejectedRows: [], shelvedRows: shelf.putRowsAway(rows) };
}

function textNote(withheld: readonly Withheld[]): string[] {
  const n = withheld.filter((entry) => entry.heading === '' && entry.done === 'blanked in the text').reduce((sum, entry) => sum + entry.count, 0);
  return n === 0 ? [] : [`${countWords(n, 'place in its texts looked', 'places in its texts looked')} like a name, number, date or address of a person and stands as [withheld]; the rest of each text was kept.`];
}

/** Looks texts of one reading through, each different one once. */
class Scrubber {
  private readonly context: ScrubContext;
  private readonly cache = new Map<string, ReturnType<typeof scrubText>>();

  constructor(
    reading: FileReading,
    seen: readonly string[],
    private readonly tally: WithheldTally,
  ) {
    const labels = [...reading.report.columns.map((column) => column.heading), ...reading.cases.flatMap((own) => own.channels.map((channel) => channel.label))];
    const codes = new Set(labels.flatMap((label) => label.match(/\d{5,}/g) ?? []));
    // An ordinary case code may be a long number; what was replaced by a code is none.
    if (!reading.areKeysMasked) for (const own of reading.cases) for (const figures of own.caseKey?.match(/\d{5,}/g) ?? []) codes.add(figures);
    this.context = { years: yearsOf(reading), known: knownIdentifiers(seen), codes };
  }

  /** Returns a text without identifiers and counts what was found in it. */
  text(text: string, line: number | null): string {
    const scrubbed = this.look(text);
    for (const kind of scrubbed.found) this.tally.add('', kind, kind === 'age' ? 'grouped' : 'blanked in the text', line);
    return scrubbed.text;
  }

  /** Whether identifying cells of the file hold just this. */
  isKnown(text: string): boolean {
    return this.context.known !== null && this.context.known.replace(text, () => '') !== text;
  }

  /** Returns what is found in a text, without counting it. */
  look(text: string): ReturnType<typeof scrubText> {
    const known = this.cache.get(text);
    if (known !== undefined) return known;
    const scrubbed = scrubText(text, this.context);
    if (this.cache.size < MOST_CACHED) this.cache.set(text, scrubbed);
    return scrubbed;
  }
}

/** The years in which the case's own times lie, null where it has no dates. */
function yearsOf(reading: FileReading): ScrubContext['years'] {
  if (reading.clock !== 'absolute') return null;
  let first = Infinity;
  let last = -Infinity;
  const take = (tMs: number | undefined): void => {
    if (tMs === undefined || Number.isNaN(tMs)) return;
    first = Math.min(first, tMs);
    last = Math.max(last, tMs);
  };
  for (const { channels, events, drugs, aside } of reading.cases) {
    take(aside?.firstMs);
    take(aside?.lastMs);
    for (const channel of channels) {
      take(channel.tMs[0]);
      take(channel.tMs.at(-1));
    }
    for (const entry of [...events, ...drugs]) take(entry.tMs);
  }
  if (first === Infinity) return null;
  const yearOf = (ms: number): number => civilFromDays(Math.floor(ms / DAY_MS)).year;
  return { first: yearOf(first), last: yearOf(last) };
}

function caseWithout(reading: CaseReading, isMasked: boolean, scrubber: Scrubber, door: Door, tally: WithheldTally): CaseReading {
  const channelOf = (channel: RawChannel): RawChannel => ({ ...withoutNumbers(channel, scrubber, tally), label: scrubber.text(channel.label, null), unit: scrubber.text(channel.unit, null), sensor: sensorOf(channel.sensor, scrubber, door, tally) });
  const eventOf = (event: RawEvent): RawEvent => ({ ...event, text: scrubber.text(event.text, event.line) });
  const drugOf = (drug: RawDrug): RawDrug => ({ ...drug, text: scrubber.text(drug.text, drug.line), unit: scrubber.text(drug.unit, drug.line), flags: drug.flags.map((flag) => scrubber.text(flag, null)) });
  return {
    ...reading,
    caseKey: reading.caseKey === null ? null : keyOf(reading.caseKey, isMasked, scrubber, door, tally),
    channels: reading.channels.map(channelOf),
    events: reading.events.map(eventOf),
    drugs: reading.drugs.map(drugOf),
    attributes: Object.fromEntries(Object.entries(reading.attributes).map(([name, value]) => [scrubber.look(name).text, scrubber.text(value, null)])),
  };
}

/** No measurement has so many figures; a record number has, that a shifted row puts under its heading. */
const LARGEST_MEASURE = 1_000_000;

/** Returns a channel without values that are record numbers: of a known quantity every one too large for it, of others those that identifying cells hold. */
function withoutNumbers(channel: RawChannel, scrubber: Scrubber, tally: WithheldTally): RawChannel {
  let copied: { readonly value: Float64Array; readonly mark: Uint8Array } | null = null;
  for (let i = 0; i < channel.value.length; i += 1) {
    const value = channel.value[i] as number; // i < length
    if (!(value >= LARGEST_MEASURE) || value % 1 !== 0 || (channel.quantity === 'other' && !scrubber.isKnown(String(value)))) continue;
    copied ??= { value: channel.value.slice(), mark: channel.mark.slice() };
    copied.value[i] = NaN;
    copied.mark[i] = MARK.sentinel;
    tally.add(channel.label, 'record number', 'left out', channel.line[i] ?? null);
  }
  return copied === null ? channel : { ...channel, ...copied };
}

/** A code for a masked key, and for a single key among ordinary ones that reads like a person. */
function keyOf(key: string, isMasked: boolean, scrubber: Scrubber, door: Door, tally: WithheldTally): string {
  if (!isMasked) {
    const person = personInName(key);
    if ((person === null || person.kind === 'record number') && scrubber.look(key).found.length === 0) return key;
    tally.add('case', person?.kind ?? 'record number', 'replaced by a code', null);
  }
  // A number means the same person whether a message or a column gives it.
  return caseCode(key.replace(/^patient /, ''), door);
}

/** Sensors must stay apart, so a serial number becomes a code of its own. */
function sensorOf(sensor: string, scrubber: Scrubber, door: Door, tally: WithheldTally): string {
  if (sensor.length < 4 || (scrubber.look(sensor).found.length === 0 && !/\d{5,}|\d{3,}[A-Z]|[A-Z]+\d{4,}/i.test(sensor))) return sensor;
  tally.add('sensor', 'other number', 'replaced by a code', null);
  return door.pseudonymOf(sensor).slice(0, 4);
}

/** Puts codes in place of names of files and folders wherever a sentence quotes them. */
class NameMask {
  private readonly names = new Map<string, string>();

  constructor({ source, report }: FileReading, door: Door, tally: WithheldTally) {
    const paths = [report.file, source.folder, source.folderName, report.container?.file ?? ''];
    const parts = new Set(paths.flatMap((path) => path.split('/')).filter((part) => part !== ''));
    for (const part of parts) {
      const { name, kind } = shownName(part, door);
      if (kind === null) continue;
      // A file chosen by itself lends its name to its case: that is one name, not two.
      const isLent = part !== source.name && source.name.startsWith(`${part}.`) && !report.file.split('/').includes(part);
      if (!isLent) tally.add(part === source.name ? 'name of the file' : 'name of a folder', kind, 'replaced by a code', null);
      this.names.set(part, name);
    }
  }

  text(text: string): string {
    let out = text;
    for (const [name, shown] of this.names) if (out.includes(name)) out = out.replaceAll(name, () => shown);
    return out;
  }
}

/** Returns a value with every text in it mapped, keys of objects included. */
function mapTexts<T>(value: T, map: (text: string) => string): T {
  const walk = (part: unknown): unknown => {
    if (typeof part === 'string') return map(part);
    if (Array.isArray(part)) return part.map(walk);
    if (typeof part === 'object' && part !== null) return Object.fromEntries(Object.entries(part).map(([key, own]) => [map(key), walk(own)]));
    return part;
  };
  // The shape stays what it was: texts become texts.
  return walk(value) as T;
}
