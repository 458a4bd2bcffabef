import type { Finding } from '../base/finding.ts';
import type { CasePart } from './case-part.ts';
import type { Channel } from './channel.ts';
import type { AcceptedOffset } from './clock-comparison.ts';
import type { DrugRecord } from './drug.ts';
import type { CaseEvent } from './event.ts';

/** What the case's times are. */
export interface CaseOrigin {
  /** UTC milliseconds of the first trend row; null where the export gives no date. */
  readonly epochMs: number | null;
  /** 'absolute': dated; 'time of day': a clock without a date; 'elapsed': seconds from a start. */
  readonly clock: 'absolute' | 'time of day' | 'elapsed';
  /** Milliseconds after midnight (time of day) or elapsed at the origin; 0 for absolute. */
  readonly originOffsetMs: number;
  /** IANA zone in which the case is read and shown. */
  readonly zone: string;
  /** False: nobody stated the zone, UTC was taken so that results repeat. */
  readonly zoneStated: boolean;
}

/** One input file of a case. The name has no folder in it. */
export interface SourceFile {
  readonly name: string;
  readonly sha256: string;
  readonly byteLength: number;
  readonly kind: SourceKind;
  /** Milliseconds added to every time of the file because a person said that its clock was wrong; 0 when nobody did. */
  readonly clockOffsetMs: number;
  /** The proposal that a person accepted as the offset. Left out: the offset was set by hand, or there is none. */
  readonly acceptedOffset?: AcceptedOffset | undefined;
}

export const SOURCE_KINDS = ['trends', 'administrations', 'events', 'case list', 'unknown'] as const;
export type SourceKind = (typeof SOURCE_KINDS)[number];

/** A case as imported: frozen. Analysis and reviews stand beside it, never in it. */
export interface CaseRecord {
  readonly caseId: string;
  readonly origin: CaseOrigin;
  readonly sources: readonly SourceFile[];
  readonly channels: readonly Channel[];
  /** In time order. */
  readonly events: readonly CaseEvent[];
  /** In time order. */
  readonly drugs: readonly DrugRecord[];
  readonly findings: readonly Finding[];
  /** Columns of a case list for this case (service, procedure, ASA class …), identifiers left out. */
  readonly attributes: Readonly<Record<string, string>>;
  /** What each source gave. Left out in cases stored before form 3: the clocks of their sources can no longer be set. */
  readonly parts?: readonly CasePart[] | undefined;
  /** What came after this instant is kept back (`recordUntil`): what nothing ends by then goes on. Left out: the record is whole. Never stored. */
  readonly recordedUntilMs?: number | undefined;
}
