import type { DateOrder } from '../model/mapping.ts';
import { daysOfParts, needsOrder, type DateParts } from '../time/parse-date.ts';
import { dateTextOf } from './sample-table.ts';

const ORDERS: readonly DateOrder[] = ['dmy', 'mdy', 'ymd'];
const MAX_DISTINCT_DATES = 5000;

export interface OrderDecision {
  readonly order: DateOrder;
  readonly certainty: 'proven' | 'likely' | 'assumed';
  readonly because: string;
  /** Other orders in which every date seen exists. */
  readonly others: readonly DateOrder[];
}

export interface OrderContext {
  readonly hasTwelveHourClock: boolean;
}

/** Gathers the dates of one column until they allow only one order. */
export class DateOrderEvidence {
  private readonly seen = new Map<string, DateParts>();
  private feasible = new Set<DateOrder>(ORDERS);
  private proof = '';
  /** The first date that needs an order, as written, without a clock time; '' while there is none. */
  example = '';
  /** Whether any date needs an order at all (`2031-03-04` and `4 Mar 2031` do not). */
  needsOrder = false;

  /** Takes one date as written; `text` is quoted as proof. */
  add(parts: DateParts, text: string): void {
    if (!needsOrder(parts)) return;
    const possible = ORDERS.filter((order) => !Number.isNaN(daysOfParts(parts, order)) && (order !== 'ymd' || parts.yearAt === -1));
    // A date that exists in no order (31.06.2031) is a slip of its row and says nothing about the column.
    if (possible.length === 0) return;
    this.needsOrder = true;
    if (this.example === '') this.example = dateTextOf(text);
    const key = parts.numbers.join(' ');
    if (this.seen.has(key)) return;
    if (this.seen.size < MAX_DISTINCT_DATES) this.seen.set(key, parts);
    const left = new Set([...this.feasible].filter((order) => possible.includes(order)));
    if (left.size === 0) return;
    if (left.size === 1 && this.feasible.size > 1) this.proof = text;
    this.feasible = left;
  }

  /** Whether only one order is left. */
  get isProven(): boolean {
    return !this.needsOrder || this.feasible.size === 1;
  }

  /** Returns the order to read the column in, and how sure that is. */
  decide(context: OrderContext): OrderDecision {
    const left = ORDERS.filter((order) => this.feasible.has(order));
    const [only] = left;
    if (!this.needsOrder) return { order: 'dmy', certainty: 'proven', because: 'the year comes first or the month is named', others: [] };
    if (only !== undefined && left.length === 1) {
      return { order: only, certainty: 'proven', because: `${this.proof} exists only in that order`, others: [] };
    }
    const spans = left.map((order) => ({ order, span: this.spanDays(order) })).sort((a, b) => a.span - b.span);
    const [closest, second] = spans;
    const others = (order: DateOrder): DateOrder[] => left.filter((other) => other !== order);
    if (closest !== undefined && second !== undefined && this.seen.size > 1 && second.span >= 20 * Math.max(1, closest.span)) {
      return { order: closest.order, certainty: 'likely', because: `the dates then lie within ${closest.span + 1} days, otherwise within ${second.span + 1}`, others: others(closest.order) };
    }
    const follow = left.map((order) => ({ order, count: this.nextDays(order) })).sort((a, b) => b.count - a.count);
    const [most, less] = follow;
    if (most !== undefined && less !== undefined && most.count > 0 && less.count === 0) {
      return { order: most.order, certainty: 'likely', because: 'only so does a date lie one day after the one before it', others: others(most.order) };
    }
    const separator = [...this.seen.values()][0]?.separator ?? '/';
    if (separator === '.' && left.includes('dmy')) return { order: 'dmy', certainty: 'likely', because: 'dates written with points are day first as a rule', others: others('dmy') };
    if (context.hasTwelveHourClock && left.includes('mdy')) return { order: 'mdy', certainty: 'likely', because: 'a 12-hour clock goes with month first as a rule', others: others('mdy') };
    const order = left.includes('dmy') ? 'dmy' : (only ?? 'dmy');
    return { order, certainty: 'assumed', because: 'no date in the file tells day and month apart', others: others(order) };
  }

  /** How often a date, as they come in the file, is the day after the one before it: a case that runs past midnight. */
  private nextDays(order: DateOrder): number {
    let count = 0;
    let before = NaN;
    for (const parts of this.seen.values()) {
      const days = daysOfParts(parts, order);
      if (days - before === 1) count += 1;
      before = days;
    }
    return count;
  }

  private spanDays(order: DateOrder): number {
    let low = Infinity;
    let high = -Infinity;
    for (const parts of this.seen.values()) {
      const days = daysOfParts(parts, order);
      if (Number.isNaN(days)) continue;
      low = Math.min(low, days);
      high = Math.max(high, days);
    }
    return high - low;
  }
}
