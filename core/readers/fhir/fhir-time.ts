import { readStampText, StampReader } from '../../time/stamp-reader.ts';
import type { ZoneClock } from '../../time/zone-clock.ts';
import { nodeAt, textAt, type FhirNode } from './element.ts';

/** Source: HL7 FHIR R4, dateTime and instant (http://hl7.org/fhir/R4/datatypes.html#dateTime), from memory. */
const DATE_TIME = /^\d{4}-\d{2}-\d{2}(?:T\d{2}:\d{2}(?::\d{2}(?:\.\d{1,9})?)?(?:Z|[+-]\d{2}:\d{2})?)?$/;

export interface FhirSpan {
  readonly startMs: number;
  /** null for an instant and for a period that is not over. */
  readonly endMs: number | null;
}

/** Reads FHIR times and counts what the report has to say about them. */
export class FhirTime {
  /** First offset from UTC met, NaN before. */
  offsetMin = NaN;
  nLocal = 0;
  nDateOnly = 0;
  nPeriods = 0;
  private readonly stamps = new StampReader('ymd');

  constructor(private readonly zone: ZoneClock | null) {}

  /** Returns the instant of a dateTime in UTC ms; NaN when it is none or coarser than a day. A date alone is its midnight. */
  read(text: string): number {
    if (!DATE_TIME.test(text)) return NaN;
    const ms = readStampText(this.stamps, text);
    if (Number.isNaN(ms)) return NaN;
    if (!this.stamps.hasClock) this.nDateOnly += 1;
    if (!Number.isNaN(this.stamps.offsetMin)) {
      if (Number.isNaN(this.offsetMin)) this.offsetMin = this.stamps.offsetMin;
      return ms;
    }
    this.nLocal += 1;
    return this.zone === null ? ms : this.zone.toUtc(ms, -Infinity);
  }

  /**
   * Returns when something took place, from `effectiveDateTime`, `performedPeriod` and their like; null when that is missing or
   * unreadable. A period without a start is taken at its end.
   */
  span(resource: FhirNode, stem: 'effective' | 'performed'): FhirSpan | null {
    const single = [`${stem}DateTime`, `${stem}Instant`].map((name) => textAt(resource, name)).find((text) => text !== '');
    if (single !== undefined) return this.instant(single);
    const period = nodeAt(resource, `${stem}Period`);
    if (period === null) {
      const event = nodeAt(resource, `${stem}Timing`)?.['event'];
      const only: unknown = Array.isArray(event) ? (event.length === 1 ? event[0] : undefined) : event;
      return typeof only === 'string' ? this.instant(only) : null;
    }
    const start = textAt(period, 'start');
    const end = textAt(period, 'end');
    if (start === '') return this.instant(end);
    const startMs = this.read(start);
    if (Number.isNaN(startMs)) return null;
    const endMs = end === '' ? NaN : this.read(end);
    if (endMs > startMs) this.nPeriods += 1;
    return { startMs, endMs: endMs > startMs ? endMs : null };
  }

  private instant(text: string): FhirSpan | null {
    const ms = this.read(text);
    return Number.isNaN(ms) ? null : { startMs: ms, endMs: null };
  }
}
