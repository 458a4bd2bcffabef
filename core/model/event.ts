import type { CaseMs } from '../base/brand.ts';
import type { SourceRef } from '../base/finding.ts';

/** What an event is about. The dictionary (`core/terms/dictionary.json`) maps phrases to these. */
export const EVENT_KINDS = [
  'anaesthesia start',
  'anaesthesia end',
  'surgery start',
  'surgery end',
  'position',
  'bypass',
  'cross-clamp',
  'tourniquet',
  'sensor on',
  'sensor moved',
  'sensor off',
  'cuff moved',
  'warming',
  'dye',
  'note',
] as const;
export type EventKind = (typeof EVENT_KINDS)[number];

export interface CaseEvent {
  readonly eventId: string;
  readonly kind: EventKind;
  /** Canonical label from the dictionary ('arms tucked', 'head down'), or '' for a plain note. */
  readonly term: string;
  /** 'start' begins a state, 'end' ends it, 'moment' is neither. */
  readonly phase: 'start' | 'end' | 'moment';
  /** The text as written, always kept. */
  readonly text: string;
  readonly atMs: CaseMs;
  readonly endMs: CaseMs | null;
  /** Typed by hand (times are soft, analysis-spec 7). */
  readonly manual: boolean;
  /** Site named in the text, for sensor events. */
  readonly site: string | null;
  readonly source: SourceRef;
}
