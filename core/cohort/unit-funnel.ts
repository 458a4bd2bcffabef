import { type Result, fail, ok } from '../base/result.ts';
import { ageInYears } from '../identity/grouped-age.ts';
import type { QualityCase } from '../model/quality-case.ts';
import { SITES, type Site } from '../model/site.ts';
import { FEWEST_NAMED_CASES, MOST_LISTED_VALUES } from '../model/unit-funnel.ts';
import type { CaseMix, FunnelCurvePoint, FunnelRequest, FunnelUnit, GroupingColumn, UnitFunnel } from '../model/unit-funnel.ts';
import { isAbove } from '../stats/beyond-limit.ts';
import { INNER_TAIL, OUTER_TAIL, funnelPoint, funnelShareLimit, overdispersion, widenedLimit } from '../stats/funnel.ts';
import { median } from '../stats/quantile.ts';
import { inCaseOrder, inCodePointOrder } from './clusters.ts';
import { isChosen, lossesOf } from './quality-series.ts';

/** Share of units whose distances are drawn in at either end before overdispersion is worked out. Source: Spiegelhalter, Stat Med 2005;24:1185. */
const WINSOR = 0.1;
/** Points of a drawn limit. */
const CURVE_POINTS = 60;
/** A column with more values than this share of the cases is a number of the case, not a group. Common practice without source. */
const MOST_VALUES = 0.5;
/** Where the age of a case stands, in whole years or as `90 or more`. */
const AGE_COLUMN = /^age(?: at the case)?$/i;

/** Returns the columns that cases have with their commonest values, and why some of them are no groups. */
export function groupingColumns(cases: readonly QualityCase[], isPersonColumn: (column: string) => boolean): GroupingColumn[] {
  const seen = new Map<string, Map<string, number>>();
  for (const { attributes } of cases) {
    for (const [column, value] of Object.entries(attributes)) {
      if (value.trim() === '') continue;
      const values = seen.get(column) ?? new Map<string, number>();
      seen.set(column, values.set(value, (values.get(value) ?? 0) + 1));
    }
  }
  return [...seen.entries()]
    .sort(([a], [b]) => inCodePointOrder(a, b))
    .map(([column, values]) => {
      const refusedBecause = isPersonColumn(column) ? 'names persons' : values.size < 2 ? 'one value' : values.size > Math.max(2, MOST_VALUES * cases.length) ? 'a value for almost every case' : null;
      return { column, values: values.size, commonest: refusedBecause === null ? commonestOf(values) : [], refusedBecause };
    });
}

function commonestOf(values: ReadonlyMap<string, number>): GroupingColumn['commonest'] {
  return [...values]
    .sort(([a, casesA], [b, casesB]) => casesB - casesA || inCodePointOrder(a, b))
    .slice(0, MOST_LISTED_VALUES)
    .map(([value, cases]) => ({ value, cases }));
}

/**
 * Returns the share of cases with a long loss in every room, service or site of a period, with exact limits around the share of all.
 * Shape   units in the order of their names, those without a name last, by their number of cases: no ranking. By site a case counts once
 *         at every site where it was monitored, with the losses of that site.
 * Missing units with fewer than ten cases bear no name and list no cases; they count for the target. Cases that cannot be placed are
 *         counted. No case: no target and no units.
 *         Of confirmed dropouts only cases take part of which every dropout was read; the others are counted.
 * Errors  fails for a column that names persons, for blind intervals by site, and for confirmed dropouts with doubtful values as lost.
 * Source  Spiegelhalter, Stat Med 2005;24:1185; statistics g.
 */
export function unitFunnel(cases: readonly QualityCase[], request: FunnelRequest, isPersonColumn: (column: string) => boolean): Result<UnitFunnel> {
  const { by, choice, longerThanS, dropouts } = request;
  const person = [...choice.map(({ column }) => column), ...(by.kind === 'column' ? [by.column] : [])].find(isPersonColumn);
  if (person !== undefined) return fail({ code: 'person-column', message: `The column “${person}” names persons; persons are not compared.`, remedy: 'Choose a column of rooms, services or procedures, or the site.' });
  if (by.kind === 'site' && request.lossOf === 'blind intervals') return fail({ code: 'blind-has-no-site', message: 'A blind interval belongs to the whole case, not to a site.', remedy: 'Compare sites by their dropouts.' });
  if (dropouts === 'confirmed' && request.doubtfulLost) return fail({ code: 'confirmed-has-one-result', message: 'Readers read the dropouts of the result in which doubtful values are information.', remedy: 'Count doubtful values as information, or take dropouts as computed.' });
  const leftOut = { notUsable: 0, notChosen: 0, outsidePeriod: 0, withoutUnit: 0, ...(dropouts === 'confirmed' ? { notReviewed: 0 } : {}) };
  const groups = new Map<string, { readonly one: QualityCase; readonly hasLongLoss: boolean }[]>();
  for (const one of [...cases].sort(inCaseOrder)) {
    if (!isChosen(one, choice)) leftOut.notChosen++;
    else if (!isInPeriod(one, request)) leftOut.outsidePeriod++;
    else if (one.notUsable !== null) leftOut.notUsable++;
    else if (dropouts === 'confirmed' && one.confirmed === null) leftOut.notReviewed = (leftOut.notReviewed ?? 0) + 1;
    else {
      const units = unitsOf(one, by);
      let isPlaced = false;
      for (const { name, sites } of units) {
        const losses = lossesOf(one, { ...request, sites }).filter(({ monitoredMs }) => monitoredMs > 0);
        if (losses.length === 0) continue;
        isPlaced = true;
        const members = groups.get(name) ?? [];
        members.push({ one, hasLongLoss: losses.some(({ longestMidMs }) => isAbove(longestMidMs, longerThanS * 1000)) });
        groups.set(name, members);
      }
      if (!isPlaced) leftOut[units.length === 0 ? 'withoutUnit' : 'notUsable']++;
    }
  }
  const names: readonly string[] = by.kind === 'site' ? SITES.filter((site) => groups.has(site)) : [...groups.keys()].sort(inCodePointOrder);
  const counts = names.map((name) => (groups.get(name) ?? []).filter(({ hasLongLoss }) => hasLongLoss).length);
  const sizes = names.map((name) => groups.get(name)?.length ?? 0);
  const { target, phi, threshold, inflate } = overdispersion(counts, sizes, WINSOR);
  if (target === null) return ok({ target, units: [], curve: [], phi: null, phiThreshold: null, isWidened: false, leftOut });
  const width = inflate && phi !== null ? phi : 1;
  const units = names.map((name, i): FunnelUnit => {
    const members = groups.get(name) ?? [];
    const [x, n] = [counts[i] ?? 0, sizes[i] ?? 0];
    const { pUpper, pLower, beyond95, beyond998 } = funnelPoint(x, n, target, width);
    const side = x / n > target ? 'above' : 'below';
    const isNamed = n >= FEWEST_NAMED_CASES;
    return {
      name: isNamed ? name : null,
      cases: n,
      withLongLoss: x,
      share: x / n,
      pUpper,
      pLower,
      ...limitsOf(n, target, width),
      status: beyond998 ? `${side} 99.8 %` : beyond95 ? `${side} 95 %` : 'inside',
      mix: mixOf(members.map(({ one }) => one)),
      caseKeys: isNamed ? members.map(({ one }) => one.caseKey) : [],
    };
  });
  const named = units.filter(({ name }) => name !== null);
  const unnamed = units.filter(({ name }) => name === null).sort((a, b) => a.cases - b.cases || a.withLongLoss - b.withLongLoss);
  return ok({ target, units: [...named, ...unnamed], curve: curveOf(sizes, target, width), phi, phiThreshold: threshold, isWidened: inflate, leftOut });
}

/** The units that a case counts in, with the sites whose losses count there; null: those of all. */
function unitsOf({ sites, attributes }: QualityCase, by: FunnelRequest['by']): readonly { readonly name: string; readonly sites: readonly Site[] | null }[] {
  if (by.kind === 'site') return SITES.filter((site) => sites.some((one) => one.site === site)).map((site) => ({ name: site, sites: [site] }));
  const name = (attributes[by.column] ?? '').trim();
  return name === '' ? [] : [{ name, sites: null }];
}

function isInPeriod({ date }: QualityCase, { firstDate, lastDate }: FunnelRequest): boolean {
  if (firstDate === null && lastDate === null) return true;
  return date !== null && (firstDate === null || date >= firstDate) && (lastDate === null || date <= lastDate);
}

function limitsOf(n: number, target: number, phi: number): Omit<FunnelCurvePoint, 'cases'> {
  const limit = (tail: number): number => widenedLimit(funnelShareLimit(n, target, tail), target, phi);
  return { lower95: limit(INNER_TAIL), upper95: limit(1 - INNER_TAIL), lower998: limit(OUTER_TAIL), upper998: limit(1 - OUTER_TAIL) };
}

/** Numbers of cases in even steps of their square root: the funnel bends where they are small. */
function curveOf(sizes: readonly number[], target: number, phi: number): FunnelCurvePoint[] {
  const [least, most] = sizes.reduce(([low, high], n) => [Math.min(low, n), Math.max(high, n)], [Infinity, 1]);
  const from = Math.sqrt(Math.max(1, Math.floor(least / 2)));
  const to = Math.sqrt(Math.ceil(most * 1.1));
  const steps = Array.from({ length: CURVE_POINTS }, (_, i) => Math.round((from + ((to - from) * i) / (CURVE_POINTS - 1)) ** 2));
  return [...new Set(steps)].map((n) => ({ cases: n, ...limitsOf(n, target, phi) }));
}

function mixOf(cases: readonly QualityCase[]): CaseMix {
  const ages = cases.flatMap(({ attributes }) => {
    const years = ageInYears(Object.entries(attributes).find(([column]) => AGE_COLUMN.test(column))?.[1] ?? '');
    return years === null ? [] : [years];
  });
  const share = (is: (one: QualityCase) => boolean): number => cases.filter(is).length / cases.length;
  return {
    medianAge: median(ages),
    casesWithAge: ages.length,
    withVasopressor: share(({ hasVasopressor }) => hasVasopressor),
    sites: SITES.map((site) => ({ site, share: share(({ sites }) => sites.some((one) => one.site === site)) })).filter((one) => one.share > 0),
  };
}
