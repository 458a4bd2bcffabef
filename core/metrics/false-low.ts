import type { CaseRecord } from '../model/case.ts';
import type { FalseLowSigns } from '../model/hypoxaemia.ts';
import type { Site } from '../model/site.ts';
import { dyeSpans } from './dyes.ts';

/** Something on record and the time in which it can make SpO2 read falsely low. */
export interface FalseLowSpan {
  readonly id: string;
  readonly sign: keyof FalseLowSigns;
  readonly startMs: number;
  readonly endMs: number;
  /** The site that it touches; null: every site. */
  readonly site: string | null;
}

/** A stretch with the event that began it. */
export interface EventSpan {
  readonly eventId: string;
  readonly startMs: number;
  readonly endMs: number;
}

/**
 * Returns what of a case can make SpO2 read falsely low: dyes, sensors put on, moved or taken off, and head-down time at the forehead.
 * Shape   a dye reaches as far as it lasts, a sensor event `softMs` to either side (its time is typed), a position as long as it holds.
 * Source  analysis-spec 8; handbook 4 (a slipped sensor reads near 85 %), 4.1 (venous pulsation head down: Shelley 2005; Agashe 2006).
 */
export function falseLowSpans(record: CaseRecord, headDown: readonly EventSpan[], softMs: number): FalseLowSpan[] {
  const sensor = record.events.filter(({ kind }) => kind === 'sensor on' || kind === 'sensor moved' || kind === 'sensor off');
  return [
    ...dyeSpans(record).map((dye): FalseLowSpan => ({ ...dye, sign: 'dyeIds', site: null })),
    ...sensor.map((event): FalseLowSpan => ({ id: event.eventId, sign: 'sensorIds', startMs: event.atMs - softMs, endMs: event.atMs + softMs, site: event.site })),
    ...headDown.map(({ eventId, startMs, endMs }): FalseLowSpan => ({ id: eventId, sign: 'headDownIds', startMs, endMs, site: 'forehead' })),
  ];
}

/** Returns those that touch a sensor at `site` between two instants, both included. */
export function signsBetween(spans: readonly FalseLowSpan[], site: Site, startMs: number, endMs: number): FalseLowSigns {
  const touching = spans.filter((span) => span.startMs <= endMs && span.endMs >= startMs && (span.site === null || span.site === site));
  const of = (sign: keyof FalseLowSigns): string[] => touching.filter((span) => span.sign === sign).map((span) => span.id);
  return { dyeIds: of('dyeIds'), sensorIds: of('sensorIds'), headDownIds: of('headDownIds') };
}
