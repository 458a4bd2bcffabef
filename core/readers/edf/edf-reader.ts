import { MARK } from '../../model/channel.ts';
import type { ColumnReport, Guess } from '../../model/import-report.ts';
import type { ReadingRules } from '../../model/mapping.ts';
import { QUANTITY_FACTS, type Quantity } from '../../model/quantity.ts';
import type { Site } from '../../model/site.ts';
import { findQuantity, type QuantityName } from '../../terms/find-quantity.ts';
import { findSite } from '../../terms/find-site.ts';
import { DAY_MS } from '../../time/civil.ts';
import { assignSensors } from '../assign-sensors.ts';
import { channelWords } from '../channel-words.ts';
import { readNote } from '../entry-text.ts';
import { GrowableFloat64, GrowableUint32, GrowableUint8 } from '../growable.ts';
import { orderRows, type ValueColumn } from '../order-rows.ts';
import type { PhraseBook } from '../phrase-book.ts';
import { columnRule } from '../plan-table.ts';
import type { RawChannel, RawDrug, RawEvent } from '../reading.ts';
import type { RowAccount } from '../row-account.ts';
import { isFillerNumber, settleChannel } from '../settle-channel.ts';
import type { CellStatement, StatedWords } from '../stated-words.ts';
import { readAnnotations } from './edf-annotations.ts';
import type { EdfHeader, EdfSignal } from './edf-header.ts';
import { edfScale, type EdfScale } from './edf-scale.ts';

/** Samples of an unknown signal closer than this are a wave, not a trend. Common practice without source. */
const WAVE_PERIOD_MS = 500;
/** Of a known trend at most one sample is taken in this time. */
const THINNED_MS = 1000;
/** Nothing of one recording lies further from its start than this. */
const MAX_SPAN_MS = 366 * DAY_MS;

/** What is done with one signal, and its samples so far. */
interface Lane {
  readonly signal: EdfSignal;
  /** Bytes before it in a data record. */
  readonly offset: number;
  readonly use: 'values' | 'annotations' | 'none';
  readonly why: string;
  readonly scale: EdfScale | null;
  readonly found: QuantityName | null;
  readonly said: CellStatement | null;
  quantity: Quantity;
  site: Site;
  sensor: string;
  readonly isThinned: boolean;
  lastSlot: number;
  nMissing: number;
  readonly tMs: GrowableFloat64;
  readonly line: GrowableUint32;
  readonly value: GrowableFloat64;
  readonly mark: GrowableUint8;
}

export interface EdfResult {
  readonly channels: readonly RawChannel[];
  readonly events: readonly RawEvent[];
  readonly drugs: readonly RawDrug[];
  readonly columns: readonly ColumnReport[];
  readonly guesses: readonly Guess[];
  readonly notes: readonly string[];
}

/**
 * Takes the data records of one file in order. Rows are the data records and, beside them, each annotation with a text.
 * Source: EDF and EDF+, handbook 8.6. The format has no sign for "missing": stored numbers that cannot be values are fillers.
 */
export class EdfReader {
  private readonly lanes: Lane[] = [];
  private readonly guesses: Guess[] = [];
  private readonly notes: string[] = [];
  private readonly events: RawEvent[] = [];
  private readonly drugs: RawDrug[] = [];
  private nRecords = 0;
  private nBeyond = 0;
  private nBrokenLists = 0;
  private nGaps = 0;
  private gapMs = 0;
  private endMs = -Infinity;

  constructor(
    private readonly header: EdfHeader,
    private readonly startMs: number,
    private readonly account: RowAccount,
    private readonly rules: ReadingRules | null,
    private readonly phrases: PhraseBook,
    private readonly words: StatedWords,
  ) {
    let offset = 0;
    for (const signal of header.signals) {
      this.lanes.push(this.laneOf(signal, offset));
      offset += 2 * signal.samplesPerRecord;
    }
    assignSensors(this.lanes.filter((lane) => lane.use === 'values' && QUANTITY_FACTS[lane.quantity].ofSensor)).forEach((note) => void this.notes.push(note));
  }

  private laneOf(signal: EdfSignal, offset: number): Lane {
    const base = { signal, offset, lastSlot: -Infinity, nMissing: 0, tMs: new GrowableFloat64(), line: new GrowableUint32(), value: new GrowableFloat64(), mark: new GrowableUint8() };
    const none = (why: string): Lane => ({ ...base, use: 'none', why, scale: null, found: null, said: null, quantity: 'other', site: 'unstated', sensor: '', isThinned: false });
    if (signal.isAnnotations) return { ...none(''), use: 'annotations' };
    const rule = columnRule({ heading: signal.label, index: -2 }, this.rules);
    if (rule?.role === 'ignore') return none('as stated');
    const scale = edfScale(signal);
    if (typeof scale === 'string') {
      this.notes.push(`Signal "${signal.label}" could not be used: ${scale}.`);
      return none(scale);
    }
    const found = this.quantityOf(signal, rule?.quantity !== undefined);
    const quantity = rule?.quantity ?? found?.quantity ?? 'other';
    const periodMs = this.header.recordMs / signal.samplesPerRecord;
    const perSecond = `${Math.round(100_000 / periodMs) / 100} samples a second`;
    if (quantity === 'other' && periodMs < WAVE_PERIOD_MS) return none(`a wave, ${perSecond}`);
    const isThinned = periodMs < THINNED_MS;
    if (isThinned) this.notes.push(`"${signal.label}" holds ${perSecond}; the first of each second was taken.`);
    const bySensor = findSite(signal.transducer);
    const ofSensor = QUANTITY_FACTS[quantity].ofSensor;
    const isSited = found !== null && found.site !== null && found.site !== 'unstated';
    return {
      ...base,
      use: 'values',
      why: '',
      scale,
      found,
      said: this.words.of(rule),
      quantity,
      site: rule?.site ?? (isSited ? found.site : ofSensor && bySensor !== null ? bySensor.site : 'unstated'),
      sensor: rule?.sensor ?? (found !== null && found.sensor !== '' ? found.sensor : ofSensor && !isSited ? (bySensor?.sensor ?? '') : ''),
      isThinned,
    };
  }

  private quantityOf(signal: EdfSignal, isRuled: boolean): QuantityName | null {
    const { label, dimension } = signal;
    const own = findQuantity(label, dimension);
    if (own !== null) return own;
    // EDF's own word for oximetry is SaO2 (from memory); a blood gas is no signal.
    const asPulse = /^SaO2\b/i.test(label) ? findQuantity(label.replace(/^SaO2/i, 'SpO2'), dimension) : null;
    if (asPulse !== null && !isRuled) {
      this.guesses.push({
        field: `columns.${label}`,
        taken: `"${label}" is read as SpO2.`,
        because: 'EDF calls pulse oximetry SaO2, and arterial samples are no continuous signal',
        certainty: 'likely',
        alternatives: [{ label: 'Leave this signal out', rules: { columns: { [label]: { role: 'ignore' } } } }],
      });
    }
    return asPulse;
  }

  /** Takes one whole data record; `number` counts from 1. */
  record(bytes: Uint8Array, number: number): void {
    const { header } = this;
    let onsetS: number | null = null;
    const lists = this.lanes.filter((lane) => lane.use === 'annotations').map((lane) => readAnnotations(bytes.subarray(lane.offset, lane.offset + 2 * lane.signal.samplesPerRecord)));
    for (const list of lists) onsetS ??= list.recordOnsetS;
    if (header.kind === 'EDF+D' && onsetS === null) {
      this.account.rejectText(number, 'data record without a time of its own', '');
    } else {
      const atMs = header.kind === 'EDF+D' || (header.kind === 'EDF+C' && onsetS !== null) || header.recordMs === 0 ? this.startMs + Math.round((onsetS ?? 0) * 1000) : this.startMs + (number - 1) * header.recordMs;
      if (Math.abs(atMs - this.startMs) > MAX_SPAN_MS) this.account.rejectText(number, 'data record more than a year from the start', '');
      else if (atMs < this.endMs - 0.5) this.account.rejectText(number, 'data record that begins before the one before it ended', '');
      else {
        if (header.recordMs > 0 && this.endMs !== -Infinity && atMs > this.endMs + 0.5) {
          this.nGaps += 1;
          this.gapMs += atMs - this.endMs;
        }
        this.samples(bytes, atMs, number);
        this.endMs = atMs + header.recordMs;
        this.nRecords += 1;
        this.account.accept();
      }
    }
    for (const { annotations, nBroken } of lists) {
      for (let i = 0; i < nBroken; i += 1) this.account.rejectText(number, 'annotation that follows no rule', '');
      this.nBrokenLists += nBroken;
      for (const { onsetS: at, durationS, text } of annotations) {
        const tMs = this.startMs + Math.round(at * 1000);
        if (Math.abs(tMs - this.startMs) > MAX_SPAN_MS) {
          this.account.rejectText(number, 'annotation more than a year from the start', text);
          continue;
        }
        // A text may end with the signal that it belongs to: "Apnea@@SpO2".
        const read = readNote(text.replace(/@@[^@]*$/, ''), tMs, number, this.phrases);
        const endMs = durationS === null || durationS === 0 ? null : tMs + Math.round(durationS * 1000);
        if (read.drug !== null) this.drugs.push({ ...read.drug, endMs });
        else for (const event of [read.event, ...read.more]) this.events.push({ ...event, endMs });
        this.account.accept();
      }
    }
  }

  private samples(bytes: Uint8Array, atMs: number, number: number): void {
    const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    for (const lane of this.lanes) {
      const { scale, quantity, signal } = lane;
      if (lane.use !== 'values' || scale === null) continue;
      const periodMs = this.header.recordMs / signal.samplesPerRecord;
      for (let i = 0; i < signal.samplesPerRecord; i += 1) {
        const tMs = atMs + i * periodMs;
        if (lane.isThinned) {
          const slot = Math.floor((tMs - this.startMs) / THINNED_MS + 1e-6);
          if (slot === lane.lastSlot) continue;
          lane.lastSlot = slot;
        }
        const digital = view.getInt16(lane.offset + 2 * i, true);
        const value = scale.rounded(digital);
        const isBeyond = digital < scale.digitalMin || digital > scale.digitalMax;
        if (isBeyond) this.nBeyond += 1;
        const isMissing = isBeyond || isFiller(value, digital, scale, quantity) || (lane.said !== null && isStatedFiller(lane.said, value, digital, scale));
        if (isMissing) lane.nMissing += 1;
        lane.tMs.push(Math.round(tMs));
        lane.line.push(number);
        lane.value.push(isMissing ? NaN : value);
        lane.mark.push(isMissing ? MARK.sentinel : MARK.none);
      }
    }
  }

  /** Returns what was read. Called once, after the last data record. */
  finish(): EdfResult {
    const { notes, guesses } = this;
    const channels: RawChannel[] = [];
    const columns: ColumnReport[] = [];
    for (const lane of this.lanes) {
      const heading = lane.signal.label;
      if (lane.use === 'annotations') {
        columns.push({ heading, readAs: 'annotations: events and drugs', quantity: null, site: null, values: this.events.length + this.drugs.length, missing: this.nBrokenLists });
        continue;
      }
      if (lane.use === 'none') {
        columns.push({ heading, readAs: `not used (${lane.why})`, quantity: null, site: null, values: 0, missing: 0 });
        continue;
      }
      const column: ValueColumn = { quantity: lane.quantity, value: lane.value.take(), mark: lane.mark.take() };
      const { tMs, line } = orderRows(lane.tMs.take(), lane.line.take(), [column]);
      const rule = columnRule({ heading, index: -2 }, this.rules);
      const settled = settleChannel(heading, lane.quantity, rule?.unit ?? lane.signal.dimension, column.value, column.mark, rule?.unit !== undefined);
      if (settled.guess !== null) guesses.push(settled.guess);
      if (settled.note !== null) notes.push(settled.note);
      const ofSensor = QUANTITY_FACTS[settled.quantity].ofSensor;
      const place = { site: ofSensor ? lane.site : null, sensor: ofSensor ? lane.sensor : '' };
      const isFlat = settled.quantity === 'other' && isConstant(column.value);
      columns.push({
        heading,
        readAs: isFlat ? 'not used (the same throughout)' : channelWords(settled.quantity, place.site, place.sensor, settled.unit),
        quantity: isFlat ? null : settled.quantity,
        site: place.site,
        values: tMs.length - lane.nMissing,
        missing: lane.nMissing,
      });
      if (!isFlat && tMs.length > 0) channels.push({ quantity: settled.quantity, label: heading, unit: settled.unit, ...place, layout: 'long', tMs, value: column.value, mark: column.mark, line });
      if (lane.found !== null && lane.found.assumption !== null && rule === undefined) {
        guesses.push({ field: `columns.${heading}`, taken: `"${heading}" is read as ${QUANTITY_FACTS[settled.quantity].name}.`, because: lane.found.assumption, certainty: 'assumed', alternatives: [{ label: 'Leave this signal out', rules: { columns: { [heading]: { role: 'ignore' } } } }] });
      }
    }
    if (this.nBeyond > 0) notes.push(`${this.nBeyond} stored numbers lie outside the digital limits of their signal and count as missing.`);
    if (this.nGaps > 0) notes.push(`The recording is interrupted ${this.nGaps === 1 ? 'once' : `${this.nGaps} times`}, ${Math.round(this.gapMs / 1000)} s in all; nothing stands in these times.`);
    return { channels, events: this.events, drugs: this.drugs, columns, guesses, notes };
  }

  /** Data records taken. */
  get nTaken(): number {
    return this.nRecords;
  }
}

/**
 * A number that stands for "no value": an agreed one (0, −1, 127 …), or the lowest that can be stored where that is no
 * plausible value. Source: handbook 8.6.
 */
function isFiller(value: number, digital: number, scale: EdfScale, quantity: Quantity): boolean {
  if (isFillerNumber(value, quantity)) return true;
  // Steps need not fall on whole numbers: 0 may be stored as 0.0008.
  const whole = Math.round(value);
  if (Math.abs(scale.physical(digital) - whole) <= scale.step / 2 && isFillerNumber(whole, quantity)) return true;
  const { plausible } = QUANTITY_FACTS[quantity];
  return digital === scale.digitalMin && plausible !== null && value < plausible[0];
}

/** Whether a person stated the number as a filler; steps need not fall on whole numbers. */
function isStatedFiller(said: CellStatement, value: number, digital: number, scale: EdfScale): boolean {
  const whole = Math.round(value);
  return said.takesNumber(value) || (Math.abs(scale.physical(digital) - whole) <= scale.step / 2 && said.takesNumber(whole));
}

function isConstant(value: Float64Array): boolean {
  let first = NaN;
  for (const v of value) {
    if (Number.isNaN(v)) continue;
    if (Number.isNaN(first)) first = v;
    else if (v !== first) return false;
  }
  return true;
}
