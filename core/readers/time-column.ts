import type { DecimalMark } from '../model/mapping.ts';
import { DAY_MS } from '../time/civil.ts';
import { StampReader } from '../time/stamp-reader.ts';
import type { ZoneClock } from '../time/zone-clock.ts';
import type { CellDecoder } from './decode-text.ts';
import { CELL, NumberReader } from './parse-number.ts';
import type { ClockKind } from './reading.ts';
import type { RowView } from './row-splitter.ts';
import { StepsBack } from './steps-back.ts';
import type { TimePlan } from './table-plan.ts';

/** 1899-12-30, day 0 of the 1900 date system as spreadsheets count it after February 1900. */
const SPREADSHEET_EPOCH_DAYS = -25_569;

/** The year 10000: a time beyond it, or as far before 1970, is a number that was never a time. */
const LAST_MS = 253_402_300_800_000;

/** What has been read of one case so far, for times that only their order tells apart. */
export interface ClockState {
  /** Last time read, -Infinity before the first. */
  last: number;
  /** First time read, NaN before. */
  first: number;
}

/** Returns the clock state before the first row of a case. */
export function freshClock(): ClockState {
  return { last: -Infinity, first: NaN };
}

/** Reads the time of each row of one file, in UTC ms or in the file's own clock. */
export class TimeColumn {
  readonly clock: ClockKind;
  /** Stamps with and without an offset from UTC, and the first offset met. */
  nWithOffset = 0;
  nLocal = 0;
  firstOffsetMin = NaN;
  nMidnights = 0;
  readonly stepsBack = new StepsBack();
  private readonly stamps: StampReader;
  private readonly numbers: NumberReader;

  constructor(
    private readonly plan: TimePlan,
    private readonly zone: ZoneClock | null,
    decimal: DecimalMark,
    decoder: CellDecoder,
  ) {
    this.stamps = new StampReader(plan.order);
    this.numbers = new NumberReader(decimal, decoder);
    this.clock = plan.form === 'time of day' ? 'time of day' : plan.form.startsWith('elapsed') ? 'elapsed' : 'absolute';
  }

  /** Returns the row's time in ms, NaN when it has none that can be read. `state` belongs to the row's case and is moved on. */
  read(row: RowView, state: ClockState): number {
    const before = state.last;
    const ms = this.readCell(row, this.plan.column, this.plan.clockColumn, state);
    // Of times with an offset or a zone it is known where they belong.
    if (ms < before && this.zone === null && this.clock === 'absolute' && this.nWithOffset === 0) this.stepsBack.add(state, row.line, before, ms);
    return ms;
  }

  /** Returns the time in any column of the row, written as the time column is. */
  readCell(row: RowView, column: number, clockColumn: number, state: ClockState): number {
    if (column >= row.n) return NaN;
    const start = row.starts[column] ?? 0;
    const end = row.ends[column] ?? 0;
    switch (this.plan.form) {
      case 'timestamp': {
        let wall: number;
        if (clockColumn === -1) wall = this.stamps.readStamp(row.buf, start, end);
        else {
          if (clockColumn >= row.n) return NaN;
          const days = this.stamps.readDate(row.buf, start, end);
          wall = days * DAY_MS + this.stamps.readClock(row.buf, row.starts[clockColumn] ?? 0, row.ends[clockColumn] ?? 0);
          if (!Number.isNaN(this.stamps.offsetMin)) wall -= this.stamps.offsetMin * 60_000;
        }
        return Number.isNaN(wall) ? NaN : this.toUtc(wall, this.stamps.offsetMin, state);
      }
      case 'time of day': {
        const clock = this.stamps.readClock(row.buf, start, end);
        if (Number.isNaN(clock)) return NaN;
        return this.unwrap(clock, state);
      }
      case 'elapsed hms':
        return this.settle(this.stamps.readClock(row.buf, start, end, true), state);
      case 'elapsed m:ss':
        // Read as hours and minutes first: sixty times as much.
        return this.settle(Math.round(this.stamps.readClock(row.buf, start, end, true) / 60), state);
      default: {
        const value = this.numbers.read(row.buf, start, end);
        if (this.numbers.code !== CELL.number) return NaN;
        return this.readNumber(value, state);
      }
    }
  }

  private readNumber(value: number, state: ClockState): number {
    switch (this.plan.form) {
      case 'unix s':
        this.nWithOffset += 1;
        this.firstOffsetMin = 0;
        return this.settle(Math.round(value * 1000), state);
      case 'unix ms':
        this.nWithOffset += 1;
        this.firstOffsetMin = 0;
        return this.settle(Math.round(value), state);
      case 'excel day':
        return this.toUtc(Math.round(((value + SPREADSHEET_EPOCH_DAYS) * DAY_MS) / this.plan.resolutionMs) * this.plan.resolutionMs, NaN, state);
      case 'elapsed min':
        return this.settle(Math.round(value * 60_000), state);
      case 'elapsed h':
        return this.settle(Math.round(value * 3_600_000), state);
      case 'elapsed ms':
        return this.settle(value, state);
      default:
        return this.settle(Math.round(value * 1000), state);
    }
  }

  private settle(ms: number, state: ClockState): number {
    if (!(Math.abs(ms) < LAST_MS)) return NaN;
    if (state.last === -Infinity) state.first = ms;
    state.last = ms;
    return ms;
  }

  private toUtc(wall: number, offsetMin: number, state: ClockState): number {
    if (!(Math.abs(wall) < LAST_MS)) return NaN;
    if (!Number.isNaN(offsetMin)) {
      if (this.nWithOffset === 0) this.firstOffsetMin = offsetMin;
      this.nWithOffset += 1;
      return this.settle(wall, state);
    }
    this.nLocal += 1;
    return this.settle(this.zone === null ? wall : this.zone.toUtc(wall, state.last), state);
  }

  /** Puts a clock time on the day that brings it nearest to the row before, so that midnight starts the next day. */
  private unwrap(clock: number, state: ClockState): number {
    if (state.last === -Infinity) return this.settle(clock, state);
    const day = Math.round((state.last - clock) / DAY_MS);
    const ms = clock + day * DAY_MS;
    if (Math.floor(ms / DAY_MS) > Math.floor(state.last / DAY_MS)) this.nMidnights += 1;
    return this.settle(ms, state);
  }
}
