import { ageOnDay } from '../identity/grouped-age.ts';
import type { CaseRecord } from '../model/case.ts';
import type { CaseReading, FileReading } from '../readers/reading.ts';
import { DAY_MS } from '../time/civil.ts';
import { ZoneClock } from '../time/zone-clock.ts';
import type { Part, PartFile } from './align-clocks.ts';
import { buildCase } from './build-case.ts';
import type { PlannedCase } from './plan-cases.ts';

/** What one file says about a planned case, everything brought back that was put away. */
export interface GivenPart {
  readonly file: FileReading;
  readonly reading: CaseReading;
}

/** What the building of a case says about its files, by the place of the part. */
export interface PartNote {
  readonly part: number;
  readonly note: string;
}

/** A case put together from its parts. */
export interface BuiltCase {
  readonly record: CaseRecord;
  readonly notes: readonly PartNote[];
  /** Parts whose times, read as elapsed, were taken for those of a clock, and why (as `note`). */
  readonly asTimeOfDay: readonly PartNote[];
  /** The part whose date of birth gave the age at the case; null where none did. */
  readonly agedBy: number | null;
}

/**
 * Returns the case that the parts of a plan make, with what is to be said about its files.
 * Shape   `given` are the parts in the order of the plan; their arrays are not modified.
 * Errors  never throws for bad input.
 */
export function buildPlannedCase({ caseId, attributes }: Pick<PlannedCase, 'caseId' | 'attributes'>, given: readonly GivenPart[]): BuiltCase {
  const parts = given.map(({ file, reading }): Part => ({ file, reading, clock: file.clock, shiftMs: 0 }));
  const notes: PartNote[] = [];
  const asTimeOfDay: PartNote[] = [];
  const placeOf = (file: PartFile): number => parts.findIndex((part) => part.file === file);
  const built = buildCase(caseId, parts, attributes, {
    add: (file, note) => void notes.push({ part: placeOf(file), note }),
    takeAsTimeOfDay: (file, note) => void asTimeOfDay.push({ part: placeOf(file), note }),
  });
  const age = ageAt(built, given);
  if (age === null) return { record: built, notes, asTimeOfDay, agedBy: null };
  const record = { ...built, attributes: { ...built.attributes, 'age at the case': age.text } };
  return { record, notes, asTimeOfDay, agedBy: age.part };
}

/** Returns the age at a dated case where a file states the date of birth and none states the age; over 89 years it is a group. */
function ageAt({ origin: { epochMs, zone }, attributes }: CaseRecord, given: readonly GivenPart[]): { readonly text: string; readonly part: number } | null {
  const part = given.findIndex((own) => own.reading.bornOnDay !== undefined);
  const bornOnDay = given[part]?.reading.bornOnDay;
  if (bornOnDay === undefined || epochMs === null || Object.keys(attributes).some((name) => /^(?:age|alter|âge|edad|età)\b/i.test(name))) return null;
  const text = ageOnDay(bornOnDay, Math.floor((epochMs + new ZoneClock(zone).offsetAt(epochMs)) / DAY_MS));
  return text === null ? null : { text, part };
}
