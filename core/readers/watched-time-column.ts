import type { DecimalMark } from '../model/mapping.ts';
import type { ZoneClock } from '../time/zone-clock.ts';
import type { CellDecoder } from './decode-text.ts';
import type { HeadWatch } from './head-watch.ts';
import type { RowView } from './row-splitter.ts';
import type { TimePlan } from './table-plan.ts';
import { TimeColumn, type ClockState } from './time-column.ts';

/** A time column that tells a preview of every time it reads. */
export class WatchedTimeColumn extends TimeColumn {
  private readonly watch: HeadWatch;

  constructor(plan: TimePlan, zone: ZoneClock | null, decimal: DecimalMark, decoder: CellDecoder, watch: HeadWatch) {
    super(plan, zone, decimal, decoder);
    this.watch = watch;
  }

  override read(row: RowView, state: ClockState): number {
    const ms = super.read(row, state);
    this.watch.onTime(row.line, ms);
    return ms;
  }
}
