import { civilFromDays } from '../time/civil.ts';

/** How an age over 89 is written. Source: Safe Harbor, 45 CFR 164.514(b)(2)(i)(C): "a single category of age 90 or older". */
export const OLDEST = '90 or more';

const MONTHS = /(?<![a-z])(?:m|mo|months?|monate?n?|mois|mes(?:es)?|mes[ei])(?![a-z])/i;
const WEEKS = /(?<![a-z])(?:w|wk|wks|weeks?|wochen?|semaines?|semanas?|settimane?)(?![a-z])/i;
const DAYS = /(?<![a-z])(?:d|days?|tage?n?|jours?|dias?|giorn[oi])(?![a-z])/i;
const HOURS = /(?<![a-z])(?:h|hrs?|hours?|stunden?|heures?|horas?|ore)(?![a-z])/i;

function unitsPerYear(text: string): number {
  return HOURS.test(text) ? 8766 : DAYS.test(text) ? 365.25 : WEEKS.test(text) ? 52.18 : MONTHS.test(text) ? 12 : 1;
}

/**
 * Returns an age as it may be kept: as written, `90 or more` where it is over 89, null where it is no age.
 * Units  years where no unit is stated; months, weeks, days and hours are understood.
 */
export function groupedAge(text: string): string | null {
  const plain = text.trim();
  if (plain === OLDEST) return OLDEST;
  const numbers = [...plain.matchAll(/\d+(?:[.,]\d+)?/g)].map((found) => Number(found[0].replace(',', '.')));
  if (numbers.length === 0) return plain;
  // "> 89" says that it is more without saying how much.
  const isMore = /^\s*(?:>|over|above|über|ueber|plus de|más de|oltre)/i.test(plain) || /\d\s*\+\s*$/.test(plain);
  const years = Math.max(...numbers) / unitsPerYear(plain) + (isMore ? 1 : 0);
  if (years > 150) return null;
  return years >= 90 ? OLDEST : plain;
}

/** Returns the age in whole years on one day of somebody born on another (both in days since 1970-01-01), grouped; null where that is no age. */
export function ageOnDay(bornOnDay: number, day: number): string | null {
  const born = civilFromDays(bornOnDay);
  const on = civilFromDays(day);
  const hadBirthday = on.month > born.month || (on.month === born.month && on.day >= born.day);
  const years = on.year - born.year - (hadBirthday ? 0 : 1);
  if (!(years >= 0 && years <= 150)) return null;
  return years >= 90 ? OLDEST : String(years);
}

/** Returns a single age in years, null for a range or what does not begin with a number. Units as for `groupedAge`. */
export function ageInYears(text: string): number | null {
  const found = /^\s*(\d+(?:[.,]\d+)?)\s*([^\d]*)$/.exec(text);
  return found === null ? null : Number((found[1] ?? '').replace(',', '.')) / unitsPerYear(text);
}
