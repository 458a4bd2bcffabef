import { daysFromCivil, daysInMonth } from '../time/civil.ts';
import { daysOfParts } from '../time/parse-date.ts';
import { DateOrderEvidence } from './date-order.ts';
import { datePartsOf, type ColumnProfile } from './sample-table.ts';

/**
 * Returns a function that reads a date of birth as days since 1970-01-01, null for what is none.
 * Shape  the order of day and month is that which the column's own dates show; where they show none it is assumed, and an age in
 *        whole years may be wrong by one.
 */
export function bornOnDayReader(profile: ColumnProfile): (text: string) => number | null {
  const evidence = new DateOrderEvidence();
  for (const text of profile.distinct.keys()) {
    const parts = datePartsOf(text);
    if (parts !== null) evidence.add(parts, text);
  }
  const { order } = evidence.decide({ hasTwelveHourClock: false });
  return (text) => {
    const compact = /^((?:18|19|20)\d{2})(\d{2})(\d{2})$/.exec(text);
    if (compact !== null) return dayOf(Number(compact[1]), Number(compact[2]), Number(compact[3]));
    const parts = datePartsOf(text);
    const day = parts === null ? NaN : daysOfParts(parts, order);
    return Number.isNaN(day) ? null : day;
  };
}

function dayOf(year: number, month: number, day: number): number | null {
  return month >= 1 && month <= 12 && day >= 1 && day <= daysInMonth(year, month) ? daysFromCivil(year, month, day) : null;
}
