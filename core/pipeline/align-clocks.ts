import type { Finding } from '../base/finding.ts';
import type { ClockKind, FileReading } from '../readers/reading.ts';
import { civilFromDays, DAY_MS, daysFromCivil } from '../time/civil.ts';
import { ZoneClock } from '../time/zone-clock.ts';
import { settleOpenClocks, type ClockedPart } from './settle-clocks.ts';

/** Dated entries this far from undated trends cannot belong to them by their time of day. */
const NEAR_TRENDS_MS = 3 * 3_600_000;

/** Takes what is to be said about a source beside its case. */
export interface SourceNotes {
  add(file: PartFile, note: string): void;
  takeAsTimeOfDay(file: PartFile, because: string): void;
}

/** What of a file the assembly of a case needs; a stored case keeps as much. */
export type PartFile = ClockedPart['file'];

/** What one file says about the case under assembly, with the shift that brings its clock to the case's; its clock offset comes on top. */
export interface Part extends ClockedPart {
  shiftMs: number;
}

/** The clock that a case is told in. */
export interface CaseClockKind {
  readonly clock: ClockKind;
  readonly zone: FileReading['zone'];
}

/** Returns what is added to the times of a part as the file has them: the shift to the case's clock and its clock offset. */
export function moveOf(part: Part): number {
  return part.shiftMs + part.file.clockOffsetMs;
}

/**
 * Brings the files of a case to one clock: settles what each file's times are, and sets the shift of every part.
 * Returns the clock and zone of the case. Changes `clock` and `shiftMs` of the parts; adds to `notes` and `findings`.
 */
export function alignClocks(parts: readonly Part[], notes: SourceNotes, findings: Finding[]): CaseClockKind {
  for (const [{ file }, names] of settleOpenClocks(parts)) {
    const because = `the times of ${names.slice(0, 3).join(', ')} lie at the same hour`;
    notes.takeAsTimeOfDay(file, because);
    notes.add(file, `Its times start at nought; they were taken for those of a clock, because ${because}.`);
  }
  const clock = clockOf(parts);
  const zone = zoneOf(parts);
  shiftAll(parts, clock, zone, notes, findings);
  return { clock, zone };
}

/** Returns the first time of any of a part's channels as the file has it, Infinity for none. */
export function firstTrend(part: Part): number {
  let first = Infinity;
  for (const channel of part.reading.channels) if (channel.tMs.length > 0) first = Math.min(first, channel.tMs[0] ?? Infinity);
  return first;
}

function lastTrend(parts: readonly Part[]): number {
  let last = -Infinity;
  for (const part of parts) for (const channel of part.reading.channels) if (channel.tMs.length > 0) last = Math.max(last, (channel.tMs.at(-1) ?? -Infinity) + moveOf(part));
  return last;
}

/** Returns the first time of a part's events and drugs as the file has it, Infinity for none. */
export function firstEntry(part: Part): number {
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

function zoneOf(parts: readonly Part[]): FileReading['zone'] {
  const dated = parts.filter((part) => part.clock === 'absolute');
  const stated = dated.find((part) => part.file.zone.basis === 'stated') ?? parts.find((part) => part.file.zone.basis === 'stated');
  const offset = dated.find((part) => part.file.zone.basis === 'offset' && part.file.zone.name !== 'UTC') ?? dated.find((part) => part.file.zone.basis === 'offset');
  return stated?.file.zone ?? offset?.file.zone ?? { name: 'UTC', basis: 'none' };
}

/** Sets the shift of every part so that all tell the case's clock, as far as the files allow it. */
function shiftAll(parts: readonly Part[], clock: ClockKind, zone: FileReading['zone'], notes: SourceNotes, findings: Finding[]): void {
  const zoneClock = new ZoneClock(zone.name);
  const leading = parts.filter((part) => part.clock === clock && part.reading.channels.length > 0);
  const lead = leading.length > 0 ? leading : parts.filter((part) => part.clock === clock);
  for (const part of parts) {
    if (part.clock === 'absolute' && clock === 'absolute' && part.file.zone.basis === 'none' && zone.basis !== 'none') {
      // Local times without a zone beside times with one: the same wall clock is meant.
      const first = Math.min(firstTrend(part), firstEntry(part));
      if (first !== Infinity) {
        part.shiftMs = zoneClock.toUtc(first, -Infinity) - first;
        warnOfChange(part, zoneClock, findings);
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
      warnOfChange(part, zoneClock, findings);
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

/** A part whose local times are all moved alike is wrong after a change of clocks within it: that is said, since it cannot be mended here. */
function warnOfChange(part: Part, zoneClock: ZoneClock, findings: Finding[]): void {
  const first = Math.min(firstTrend(part), firstEntry(part)) + part.shiftMs;
  let last = first;
  for (const { tMs } of part.reading.channels) last = Math.max(last, (tMs.at(-1) ?? -Infinity) + part.shiftMs);
  for (const { tMs } of [...part.reading.events, ...part.reading.drugs]) last = Math.max(last, tMs + part.shiftMs);
  const minutes = Math.round((zoneClock.offsetAt(last) - zoneClock.offsetAt(first)) / 60_000);
  if (minutes === 0) return;
  findings.push({ code: 'clocks-changed-within', severity: 'warning', message: `${part.file.source.name}: the clocks were put ${minutes > 0 ? 'forward' : 'back'} by ${Math.abs(minutes)} min while its times run, and the file does not say on which side of that a time lies. Times after the change may be wrong by as much.`, count: 1 });
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
function swapIfElsewhere(part: Part, start: number, end: number, zoneClock: ZoneClock, notes: SourceNotes): void {
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
