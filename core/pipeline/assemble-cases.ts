import { countWords } from '../base/count-words.ts';
import type { Finding } from '../base/finding.ts';
import type { CaseOrigin, CaseRecord, SourceFile } from '../model/case.ts';
import type { Channel } from '../model/channel.ts';
import type { DrugRecord } from '../model/drug.ts';
import type { CaseEvent } from '../model/event.ts';
import type { FileReport, Guess, RejectedRow } from '../model/import-report.ts';
import { QUANTITY_FACTS } from '../model/quantity.ts';
import { siteKey, type Site } from '../model/site.ts';
import type { ImportOptions, ImportOutcome } from '../readers/reader.ts';
import type { CaseReading, ClockKind, FileReading, RawChannel } from '../readers/reading.ts';
import { civilFromDays, DAY_MS, daysFromCivil } from '../time/civil.ts';
import { clockOffsetWords } from '../time/clock-offset.ts';
import { ZoneClock } from '../time/zone-clock.ts';
import { joinChannels } from './join-channels.ts';
import { settleOpenClocks, type ClockedPart } from './settle-clocks.ts';

/** Dated entries this far from undated trends cannot belong to them by their time of day. */
const NEAR_TRENDS_MS = 3 * 3_600_000;

/** What one file says about the case under assembly, with the shift that brings its clock to the case's; an offset set by hand comes on top. */
interface Part extends ClockedPart {
  shiftMs: number;
}

/** Returns what is added to the times of a part as the file has them: the shift to the case's clock and the offset set by hand. */
function moveOf(part: Part): number {
  return part.shiftMs + part.file.clockOffsetMs;
}

interface Group {
  readonly id: string;
  readonly parts: Part[];
}

function byPath(a: FileReading, b: FileReading): number {
  return a.source.relativePath < b.source.relativePath ? -1 : a.source.relativePath > b.source.relativePath ? 1 : 0;
}

function byText(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}

/** Notes that the assembly adds to files, by their place among the readings. */
class ReportNotes {
  private readonly notes = new Map<FileReading, string[]>();
  private readonly timeOfDay = new Map<FileReading, string>();
  readonly cases = new Map<FileReading, Set<string>>();

  add(file: FileReading, note: string): void {
    const own = this.notes.get(file) ?? [];
    if (!own.includes(note)) own.push(note);
    this.notes.set(file, own);
  }

  addCase(file: FileReading, id: string): void {
    const own = this.cases.get(file) ?? new Set<string>();
    own.add(id);
    this.cases.set(file, own);
  }

  of(file: FileReading): readonly string[] {
    return this.notes.get(file) ?? [];
  }

  takeAsTimeOfDay(file: FileReading, because: string): void {
    this.timeOfDay.set(file, because);
  }

  /** Returns the guesses of a file as the assembly leaves them. */
  guessesOf(file: FileReading): readonly Guess[] {
    const because = this.timeOfDay.get(file);
    const { asTimeOfDay } = file;
    // With several cases in the file the clock may have been settled for some of them only: the note says so then.
    if (because === undefined || asTimeOfDay === undefined || file.cases.length > 1) return file.report.guesses;
    return file.report.guesses.map((guess) => (guess.field === 'timeKind' ? { ...asTimeOfDay, because } : guess));
  }
}

/**
 * Returns the cases that files make together, and the complete report of every file.
 * Files of one folder without a case column are one case, named after the folder (or the only case that other files of the
 * folder name). Each case's origin is its first trend row; every other time counts from it.
 * Shape   the readings' arrays are not modified. The result depends on the readings alone, not on their order, except that
 *         `files` and `rejectedRows` keep it.
 * Errors  never throws for bad input.
 */
export function assembleCases(readings: readonly FileReading[], options: ImportOptions): ImportOutcome {
  const notes = new ReportNotes();
  const sorted = [...readings].sort(byPath);
  const { groups, attributes } = groupParts(sorted, notes);
  const cases: CaseRecord[] = [];
  for (const group of groups) {
    options.signal?.throwIfAborted();
    cases.push(buildCase(group, attributes.get(group.id) ?? {}, notes));
    for (const part of group.parts) notes.addCase(part.file, group.id);
  }
  cases.sort((a, b) => byText(a.caseId, b.caseId));
  const files = readings.map((file): FileReport => ({ ...file.report, guesses: notes.guessesOf(file), notes: [...file.report.notes, ...notes.of(file)], cases: [...(notes.cases.get(file) ?? [])].sort(byText) }));
  const rejectedRows: RejectedRow[] = [];
  for (const file of readings) for (const row of file.rejectedRows) rejectedRows.push(row);
  return { cases, files, rejectedRows };
}

/** Puts what the files say under the case it belongs to. */
function groupParts(files: readonly FileReading[], notes: ReportNotes): { groups: Group[]; attributes: Map<string, Record<string, string>> } {
  const maskedNames = maskedCaseNames(files);
  const keyOf = (file: FileReading, reading: CaseReading): string | null => (reading.caseKey === null ? null : file.areKeysMasked ? (maskedNames.get(reading.caseKey) ?? reading.caseKey) : reading.caseKey);
  const folderNames = folderCaseNames(files);
  const idsOfFolder = new Map<string, Set<string>>();
  for (const file of files) {
    if (file.source.kind === 'case list') continue;
    for (const reading of file.cases) {
      const key = keyOf(file, reading);
      if (key === null) continue;
      const ids = idsOfFolder.get(file.source.folder) ?? new Set<string>();
      ids.add(key);
      idsOfFolder.set(file.source.folder, ids);
    }
  }
  const groups = new Map<string, Group>();
  const attributes = new Map<string, Record<string, string>>();
  const listed: { readonly file: FileReading; readonly reading: CaseReading; readonly id: string }[] = [];
  for (const file of files) {
    if (file.areKeysMasked) notes.add(file, 'What tells its cases apart is the number of a person or a stay: the cases bear the folder’s name or a number instead of it.');
    for (const reading of file.cases) {
      const key = keyOf(file, reading);
      const ownFolder = idsOfFolder.get(file.source.folder);
      let id = key ?? folderNames.get(file.source.folder) ?? file.source.folderName;
      if (key === null && ownFolder !== undefined && ownFolder.size === 1) {
        const [only] = ownFolder;
        if (only !== undefined) {
          id = only;
          notes.add(file, `The file names no case; it was joined to case ${only}, the only one that the other files of its folder name.`);
        }
      }
      if (file.source.kind === 'case list') {
        listed.push({ file, reading, id });
        continue;
      }
      if (reading.channels.length === 0 && reading.events.length === 0 && reading.drugs.length === 0) continue;
      const group = groups.get(id) ?? { id, parts: [] };
      if (group.parts.some((part) => part.file.source.sha256 === file.source.sha256 && part.reading.caseKey === reading.caseKey && file.source.sha256 !== '')) {
        notes.add(file, 'The file has the same content as another file of the case and was not used a second time.');
        continue;
      }
      group.parts.push({ file, reading, clock: file.clock, shiftMs: 0 });
      groups.set(id, group);
    }
  }
  const missing = new Map<FileReading, number>();
  for (const { file, reading, id } of listed) {
    const group = groups.get(id);
    if (group === undefined) {
      missing.set(file, (missing.get(file) ?? 0) + 1);
      continue;
    }
    const own = attributes.get(id) ?? {};
    for (const [name, value] of Object.entries(reading.attributes)) own[name] ??= value;
    attributes.set(id, own);
    group.parts.push({ file, reading, clock: file.clock, shiftMs: 0 });
  }
  for (const [file, count] of missing) notes.add(file, `${countWords(count, 'case of the list has', 'cases of the list have')} no trends, drugs or events among the files read.`);
  return { groups: [...groups.values()], attributes };
}

/**
 * Gives the keys of masked case columns neutral names, the same in every file: the folder's name for a key that has a folder
 * to itself, else numbers in the order of the keys.
 */
function maskedCaseNames(files: readonly FileReading[]): Map<string, string> {
  const foldersOf = new Map<string, Map<string, string>>();
  const keysOf = new Map<string, Set<string>>();
  for (const file of files) {
    if (!file.areKeysMasked) continue;
    for (const { caseKey } of file.cases) {
      if (caseKey === null) continue;
      foldersOf.set(caseKey, (foldersOf.get(caseKey) ?? new Map<string, string>()).set(file.source.folder, file.source.folderName));
      keysOf.set(file.source.folder, (keysOf.get(file.source.folder) ?? new Set<string>()).add(caseKey));
    }
  }
  const sorted = [...foldersOf.keys()].sort(byText);
  const digits = String(sorted.length).length;
  return new Map(
    sorted.map((key, i) => {
      const [only, ...rest] = foldersOf.get(key) ?? [];
      if (only !== undefined && rest.length === 0 && keysOf.get(only[0])?.size === 1) return [key, only[1]];
      return [key, `case ${String(i + 1).padStart(digits, '0')}`];
    }),
  );
}

/** Returns the name of each folder's case: the folder's own name, with its parents where two folders share it. */
function folderCaseNames(files: readonly FileReading[]): Map<string, string> {
  const folders = new Map<string, string>();
  for (const file of files) if (file.cases.some((reading) => reading.caseKey === null)) folders.set(file.source.folder, file.source.folderName);
  const uses = new Map<string, number>();
  for (const name of folders.values()) uses.set(name, (uses.get(name) ?? 0) + 1);
  return new Map([...folders].map(([folder, name]) => [folder, (uses.get(name) ?? 0) > 1 && folder !== '' ? folder : name]));
}

function firstTrend(part: Part): number {
  let first = Infinity;
  for (const channel of part.reading.channels) if (channel.tMs.length > 0) first = Math.min(first, channel.tMs[0] ?? Infinity);
  return first;
}

function lastTrend(parts: readonly Part[]): number {
  let last = -Infinity;
  for (const part of parts) for (const channel of part.reading.channels) if (channel.tMs.length > 0) last = Math.max(last, (channel.tMs.at(-1) ?? -Infinity) + moveOf(part));
  return last;
}

function firstEntry(part: Part): number {
  let first = Infinity;
  for (const entry of [...part.reading.events, ...part.reading.drugs]) first = Math.min(first, entry.tMs);
  return first;
}

/** Returns the clock that the case is told in: that of its trends (dated ones first), or of its entries where there are none. */
function clockOf(parts: readonly Part[]): ClockKind {
  const rank: readonly ClockKind[] = ['absolute', 'time of day', 'elapsed'];
  const withTrends = parts.filter((part) => part.reading.channels.length > 0);
  const pool = withTrends.length > 0 ? withTrends : parts;
  return rank.find((clock) => pool.some((part) => part.clock === clock)) ?? 'elapsed';
}

function buildCase(group: Group, attributes: Record<string, string>, notes: ReportNotes): CaseRecord {
  const { parts } = group;
  const findings: Finding[] = [];
  for (const [{ file }, names] of settleOpenClocks(parts)) {
    const because = `the times of ${names.slice(0, 3).join(', ')} lie at the same hour`;
    notes.takeAsTimeOfDay(file, because);
    notes.add(file, `Its times start at nought; they were taken for those of a clock, because ${because}.`);
  }
  const clock = clockOf(parts);
  const zone = zoneOf(parts);
  alignClocks(parts, clock, zone, notes, findings);
  let originMs = Infinity;
  for (const part of parts) originMs = Math.min(originMs, firstTrend(part) + moveOf(part));
  if (originMs === Infinity) {
    for (const part of parts) originMs = Math.min(originMs, firstEntry(part) + moveOf(part));
    findings.push({ code: 'no-trends', severity: 'warning', message: 'No trend file belongs to this case; its drugs and events alone are shown.', count: 1 });
  }
  if (originMs === Infinity) originMs = 0;
  const sources = parts.map((part): SourceFile => ({ name: part.file.source.name, sha256: part.file.source.sha256, byteLength: part.file.source.byteLength, kind: part.file.source.kind, clockOffsetMs: part.file.clockOffsetMs }));
  const raw: { readonly channel: RawChannel; readonly sourceIndex: number; readonly shiftMs: number }[] = [];
  for (const [sourceIndex, part] of parts.entries()) {
    for (const channel of part.reading.channels) raw.push({ channel, sourceIndex, shiftMs: moveOf(part) - originMs });
    addReadingFindings(part.reading, sourceIndex, findings);
    addOffsetFinding(part, sourceIndex, findings);
  }
  const joined = joinChannels(raw);
  findings.push(...joined.findings);
  const channels = nameChannels(joined.channels);
  const events: CaseEvent[] = [];
  const drugs: DrugRecord[] = [];
  for (const [sourceIndex, part] of parts.entries()) {
    const shift = moveOf(part) - originMs;
    for (const event of part.reading.events) {
      const { tMs, endMs, line, ...rest } = event;
      events.push({ ...rest, eventId: '', atMs: tMs + shift, endMs: endMs === null ? null : endMs + shift, source: { sourceIndex, line } });
    }
    for (const drug of part.reading.drugs) {
      const { tMs, endMs, line, ...rest } = drug;
      drugs.push({ ...rest, drugId: '', atMs: tMs + shift, endMs: endMs === null ? null : endMs + shift, source: { sourceIndex, line } });
    }
  }
  const inOrder = (a: { atMs: number; source: { sourceIndex: number; line: number } }, b: { atMs: number; source: { sourceIndex: number; line: number } }): number =>
    a.atMs - b.atMs || a.source.sourceIndex - b.source.sourceIndex || a.source.line - b.source.line;
  events.sort(inOrder);
  drugs.sort(inOrder);
  const origin: CaseOrigin = {
    epochMs: clock === 'absolute' ? originMs : null,
    clock,
    // A clock set forward over midnight starts the next day's count anew.
    originOffsetMs: clock === 'absolute' ? 0 : clock === 'time of day' ? originMs - Math.floor(originMs / DAY_MS) * DAY_MS : originMs,
    zone: zone.name,
    zoneStated: zone.basis !== 'none',
  };
  return {
    caseId: group.id,
    origin,
    sources,
    channels,
    events: events.map((event, i) => ({ ...event, eventId: `e${i + 1}` })),
    drugs: drugs.map((drug, i) => ({ ...drug, drugId: `d${i + 1}` })),
    findings,
    attributes,
  };
}

function addOffsetFinding({ file, reading }: Part, sourceIndex: number, findings: Finding[]): void {
  if (file.clockOffsetMs === 0 || (reading.channels.length === 0 && reading.events.length === 0 && reading.drugs.length === 0)) return;
  findings.push({ code: 'clock-offset', severity: 'note', message: `${file.source.name}: its clock was set by hand, ${clockOffsetWords(file.clockOffsetMs)}.`, count: 1, sourceIndex });
}

function addReadingFindings(reading: CaseReading, sourceIndex: number, findings: Finding[]): void {
  if (reading.nDuplicates > 0) findings.push({ code: 'duplicate-rows', severity: 'note', message: 'Rows that repeat an earlier row were dropped.', count: reading.nDuplicates, sourceIndex });
  if (reading.nConflicts > 0) {
    findings.push({
      code: 'conflicting-values',
      severity: 'warning',
      message: 'Two different values stand at one instant; the first plausible one was kept.',
      count: reading.nConflicts,
      sourceIndex,
      ...(reading.firstConflictLine === null ? {} : { firstLine: reading.firstConflictLine }),
    });
  }
}

function zoneOf(parts: readonly Part[]): FileReading['zone'] {
  const dated = parts.filter((part) => part.clock === 'absolute');
  const stated = dated.find((part) => part.file.zone.basis === 'stated') ?? parts.find((part) => part.file.zone.basis === 'stated');
  const offset = dated.find((part) => part.file.zone.basis === 'offset' && part.file.zone.name !== 'UTC') ?? dated.find((part) => part.file.zone.basis === 'offset');
  return stated?.file.zone ?? offset?.file.zone ?? { name: 'UTC', basis: 'none' };
}

/** Sets the shift of every part so that all tell the case's clock, as far as the files allow it. */
function alignClocks(parts: readonly Part[], clock: ClockKind, zone: FileReading['zone'], notes: ReportNotes, findings: Finding[]): void {
  const zoneClock = new ZoneClock(zone.name);
  const leading = parts.filter((part) => part.clock === clock && part.reading.channels.length > 0);
  const lead = leading.length > 0 ? leading : parts.filter((part) => part.clock === clock);
  for (const part of parts) {
    if (part.clock === 'absolute' && clock === 'absolute' && part.file.zone.basis === 'none' && zone.basis !== 'none') {
      // Local times without a zone beside times with one: the same wall clock is meant.
      const first = Math.min(firstTrend(part), firstEntry(part));
      if (first !== Infinity) {
        part.shiftMs = zoneClock.toUtc(first, -Infinity) - first;
        notes.add(part.file, `Its times carry no zone; they were read in ${zone.name}, which another file of the case states.`);
      }
    }
  }
  let origin = Infinity;
  for (const part of lead) origin = Math.min(origin, Math.min(firstTrend(part), leading.length > 0 ? Infinity : firstEntry(part)) + moveOf(part));
  if (origin === Infinity) return;
  const end = Math.max(lastTrend(lead), origin);
  for (const part of parts) {
    const own = part.clock;
    const first = Math.min(firstTrend(part), firstEntry(part));
    if (own === null || first === Infinity) continue;
    if (own === clock) {
      if (clock === 'absolute' && !lead.includes(part)) swapIfElsewhere(part, origin, end, zoneClock, notes);
      if (clock === 'time of day' && !lead.includes(part)) part.shiftMs = nearestDay(first + part.file.clockOffsetMs, origin, end);
      continue;
    }
    if (own === 'time of day' && clock === 'absolute') {
      const originWall = origin + zoneClock.offsetAt(origin);
      const midnight = Math.floor(originWall / DAY_MS) * DAY_MS;
      const wall = first + midnight;
      const shifted = wall + nearestDay(wall + part.file.clockOffsetMs, originWall, end + zoneClock.offsetAt(end));
      part.shiftMs = zoneClock.toUtc(shifted, -Infinity) - first;
      notes.add(part.file, 'Its times have no date; they were put on the day of the case that lies nearest to the trends.');
      findings.push({ code: 'date-taken-from-trends', severity: 'note', message: `${part.file.source.name}: clock times without a date were put on the day of the trends.`, count: 1 });
      continue;
    }
    if (own === 'absolute' && clock === 'time of day') {
      // Dated entries beside undated trends: what they share is the time of day.
      const wall = first + (part.file.zone.basis === 'none' ? 0 : new ZoneClock(part.file.zone.name).offsetAt(first));
      const ofDay = wall - Math.floor(wall / DAY_MS) * DAY_MS;
      const placed = ofDay + nearestDay(ofDay + part.file.clockOffsetMs, origin, end);
      const at = placed + part.file.clockOffsetMs;
      if (at >= origin - NEAR_TRENDS_MS && at <= end + NEAR_TRENDS_MS) {
        part.shiftMs = placed - first;
        notes.add(part.file, 'The trends have no date; its times were put beside theirs by the time of day.');
        findings.push({ code: 'date-only-in-entries', severity: 'note', message: `${part.file.source.name}: dated times were put beside undated trends by their time of day.`, count: 1 });
        continue;
      }
    }
    part.shiftMs = own === 'elapsed' ? origin : origin - first;
    const how = own === 'elapsed' ? 'its nought is taken as the first trend row' : 'its first entry is taken as the first trend row';
    notes.add(part.file, `Its times cannot be tied to the clock of the trends: ${how}. Check this before you trust a link.`);
    findings.push({ code: 'clock-not-tied', severity: 'warning', message: `${part.file.source.name}: ${how}, because its clock and that of the trends have nothing in common.`, count: 1 });
  }
}

/** Returns the whole days by which a time must move to lie within, or nearest to, a stretch. */
function nearestDay(first: number, start: number, end: number): number {
  let best = 0;
  let bestGap = Infinity;
  const base = Math.round((start - first) / DAY_MS);
  for (let day = base - 1; day <= base + 1 + Math.ceil((end - start) / DAY_MS); day += 1) {
    const at = first + day * DAY_MS;
    const gap = at < start ? start - at : at > end ? at - end : 0;
    if (gap < bestGap || (gap === bestGap && Math.abs(day) < Math.abs(best))) {
      bestGap = gap;
      best = day;
    }
  }
  return best * DAY_MS;
}

/** Exchanges day and month in a file whose dates allow both, when only that puts it beside the trends. */
function swapIfElsewhere(part: Part, start: number, end: number, zoneClock: ZoneClock, notes: ReportNotes): void {
  if (!part.file.canSwapDayAndMonth) return;
  const first = Math.min(firstTrend(part), firstEntry(part)) + part.shiftMs;
  const wall = first + zoneClock.offsetAt(first);
  const days = Math.floor(wall / DAY_MS);
  const { year, month, day } = civilFromDays(days);
  if (day > 12 || day === month) return;
  const swapped = zoneClock.toUtc(daysFromCivil(year, day, month) * DAY_MS + (wall - days * DAY_MS), -Infinity);
  const gap = (at: number): number => (at < start ? start - at : at > end ? at - end : 0);
  const offsetMs = part.file.clockOffsetMs;
  if (gap(first + offsetMs) > 2 * DAY_MS && gap(swapped + offsetMs) <= DAY_MS) {
    part.shiftMs += swapped - first;
    notes.add(part.file, 'Day and month were exchanged after all: only then do its dates fall on the day of the trends.');
  }
}

/** Gives every channel its id and numbers sensors only where a site has more than one. */
function nameChannels(channels: readonly Channel[]): Channel[] {
  const sensorsOfSite = new Map<Site, Set<string>>();
  for (const channel of channels) {
    if (channel.site === null || channel.quantity !== 'spo2') continue;
    const own = sensorsOfSite.get(channel.site) ?? new Set<string>();
    own.add(channel.sensor);
    sensorsOfSite.set(channel.site, own);
  }
  const used = new Map<string, number>();
  return channels.map((channel) => {
    let { sensor } = channel;
    if (channel.site !== null) {
      const own = sensorsOfSite.get(channel.site);
      // A site with one sensor needs no number to tell it apart.
      if (own !== undefined && own.size === 1 && own.has(sensor)) sensor = '';
    }
    const place = channel.site === null ? channel.quantity : `${channel.quantity}@${siteKey({ site: channel.site, sensor })}`;
    const base = channel.quantity === 'other' ? `other ${channel.label}` : place;
    const count = (used.get(base) ?? 0) + 1;
    used.set(base, count);
    return { ...channel, sensor: QUANTITY_FACTS[channel.quantity].ofSensor ? sensor : '', channelId: count === 1 ? base : `${base} (${count})` };
  });
}
