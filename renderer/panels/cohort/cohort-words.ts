import type { Range3 } from '../../../core/base/interval.ts';
import { ALL_SENSORS, WHOLE_CASE, type BurdenFigures, type NamedInterval } from '../../../core/model/cohort-burden.ts';
import { UNSTATED, type CaseFacet } from '../../../core/model/cohort-options.ts';
import { countText, numberText, shareText } from '../../format/number-text.ts';
import { durationText, limitsText } from '../../format/time-text.ts';
import { siteText } from '../case-view/case-facts.ts';

/** Fewer cases than this, and an interval is not to be leaned on. Source: statistics 0. */
export const FEW_UNITS = 10;

/** Returns the place of a figure in words. */
export function placeText(place: string): string {
  if (place === ALL_SENSORS) return 'all sensors together';
  return place === WHOLE_CASE ? 'no site informed' : siteText(place);
}

/** Returns a property in words, as it stands after "by". */
export function facetText(facet: CaseFacet): string {
  switch (facet.kind) {
    case 'column':
      return `“${facet.column}”`;
    case 'asa class':
      return 'ASA class';
    default:
      return facet.kind;
  }
}

/** Returns a value of a property in words. */
export function facetValueText(facet: CaseFacet | null, value: string | null): string {
  if (value === null) return 'all cases';
  if (value === UNSTATED) return facet?.kind === 'month' ? 'undated' : 'not stated';
  if (facet?.kind === 'month') return monthText(value);
  if (facet?.kind === 'asa class') return `ASA ${value}`;
  return facet?.kind === 'site' ? siteText(value) : value;
}

/** Returns a phrase as the beginning of a sentence. */
export function sentenceStart(phrase: string): string {
  return `${phrase.slice(0, 1).toUpperCase()}${phrase.slice(1)}`;
}

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

/** Returns "2031-03" as "Mar 2031", '' as "undated"; anything else as it is. */
export function monthText(month: string): string {
  if (month === '') return 'undated';
  const parts = /^(\d{4})-(\d{2})$/.exec(month);
  const name = parts === null ? undefined : MONTHS[Number(parts[2]) - 1];
  return parts === null || name === undefined ? month : `${name} ${parts[1]}`;
}

/** Returns a number per hour with as many decimals as it is worth. */
export function rateText(value: number | null): string {
  if (value === null || !Number.isFinite(value)) return '–';
  return `${numberText(value, value !== 0 && value < 1 ? 2 : 1)}/h`;
}

/** Returns a ratio; "no limit" where it has none. */
export function ratioText(value: number | null): string {
  if (value === null || Number.isNaN(value)) return '–';
  if (value === Infinity) return 'no limit';
  return numberText(value, value < 10 ? 2 : 1);
}

/** Returns a probability: three decimals, "under 0.001", never 0. */
export function probabilityText(p: number | null): string {
  if (p === null) return '–';
  return p < 0.001 ? 'under 0.001' : numberText(p, 3);
}

/** Returns the limits of an interval: "2.2 to 4.4 %"; null where there are none. */
export function limitsOfText({ lower, upper }: Pick<NamedInterval, 'lower' | 'upper'>, textOf: (value: number) => string): string | null {
  if (lower === null || upper === null) return null;
  const [low, high] = [textOf(lower), upper === Infinity ? 'no limit' : textOf(upper)];
  const unit = /[^\d.,–]+$/.exec(high)?.[0];
  return unit !== undefined && low.endsWith(unit) && upper !== Infinity ? `${low.slice(0, -unit.length)} to ${high}` : `${low} to ${high}`;
}

/** Returns a figure with its interval: "3.1 % (2.2 to 4.4 %)"; without an interval the figure and why there is none; '–' with the reason where there is no figure. */
export function figureText(estimate: number | null, interval: Pick<NamedInterval, 'lower' | 'upper' | 'reason'>, textOf: (value: number) => string): string {
  if (estimate === null) return `not defined: ${interval.reason ?? 'nothing to divide by'}`;
  const limits = limitsOfText(interval, textOf);
  return limits === null ? `${textOf(estimate)} (no interval${interval.reason === null ? '' : `: ${interval.reason}`})` : `${textOf(estimate)} (${limits})`;
}

/** Returns what an interval is: "95 % interval: cluster-robust t over 214 cases". */
export function intervalNameText(interval: NamedInterval, conf: number, unit: 'case' | 'patient'): string {
  const n = countText(interval.n, unit, `${unit}s`);
  if (interval.method === null) return `No interval: ${interval.reason ?? 'not defined'} (${n}).`;
  const few = interval.n < FEW_UNITS && interval.method !== 'Clopper-Pearson' ? ` Fewer than ${FEW_UNITS}: do not lean on it.` : '';
  return `${numberText(conf * 100)} % interval: ${interval.method}, ${n}${interval.reason === null ? '' : `; ${interval.reason}`}.${few}`;
}

/** Returns how often and how long, in one sentence. */
export function burdenSentence(figures: BurdenFigures, what: { readonly one: string; readonly many: string }): string {
  if (figures.share === null) return `Nothing was monitored in ${countText(figures.cases, 'case', 'cases')}: there is no figure.`;
  if (figures.dropouts === 0) {
    const limits = limitsOfText(figures.withDropoutInterval, shareText);
    return `No ${what.one} in ${countText(figures.cases, 'case', 'cases')} and ${durationText(figures.monitoredMs)} monitored${limits === null ? '' : ` (share of cases with one: ${limits})`}.`;
  }
  const withDropout = limitsOfText(figures.withDropoutInterval, shareText);
  return (
    `${countText(figures.dropouts, what.one, what.many)} in ${numberText(figures.casesWithDropout)} of ${countText(figures.cases, 'case', 'cases')}`
    + ` (${shareText(figures.withDropout)}${withDropout === null ? '' : `, ${withDropout}`}): ${durationText(figures.lostMs.mid)} of ${durationText(figures.monitoredMs)} monitored`
    + `, which is ${figureText(figures.share.mid, figures.shareInterval, shareText)} of the time, ${figureText(figures.perHour, figures.perHourInterval, rateText)}.`
  );
}

/**
 * Returns what the brackets of a sentence on how often and how long are: each kind of interval by name with its n, and what the recording
 * intervals leave unknown of the share, which is not in the brackets.
 */
export function bracketsText(figures: BurdenFigures, conf: number, unit: 'case' | 'patient'): string {
  const named = [...new Set([figures.withDropoutInterval, figures.shareInterval, figures.perHourInterval].flatMap(({ method, n }) => (method === null ? [] : [`${method} (${countText(n, unit, `${unit}s`)})`])))];
  const open = figures.share === null || figures.share.low === figures.share.high ? '' : ` The recording intervals leave the share open between ${shareText(figures.share.low)} and ${shareText(figures.share.high)}.`;
  return `${named.length === 0 ? `No intervals: ${figures.shareInterval.reason ?? 'not defined'}.` : `In brackets: ${numberText(conf * 100)} % intervals, ${named.join(' and ')}.`}${open}`;
}

/** Returns a time with what the sampling leaves unknown: "40 s (20–60 s)". */
export function rangeWithLimits(range: Range3 | null): string {
  if (range === null) return '–';
  const limits = limitsText(range);
  const mid = durationText(range.mid);
  return limits === mid ? mid : `${mid} (${limits})`;
}
