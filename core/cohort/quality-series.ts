import { isAbove } from '../stats/beyond-limit.ts';
import { median } from '../stats/quantile.ts';
import type { QualityCase, QualityLosses } from '../model/quality-case.ts';
import type { ChartLeftOut, ChartMeasure, ColumnChoice, KeptPoint, PointFigures, QualityDefinition } from '../model/quality-chart.ts';
import { clusterOf, inCodePointOrder, statedPatient } from './clusters.ts';
import { DAY_MS, HOUR_MS, daysInMonth } from '../time/civil.ts';

/** What one case gives to one chart. */
export interface Contribution {
  readonly caseKey: string;
  readonly caseId: string;
  /** The unit that is independent of others: patient, or case. */
  readonly cluster: string;
  readonly startedAtMs: number;
  readonly date: string;
  readonly hasLongLoss: boolean;
  readonly losses: number;
  readonly lostMs: number;
  readonly monitoredMs: number;
  /** Mid estimates of the losses, s. */
  readonly durationsS: readonly number[];
}

/** A point with the cases of today behind it. For a kept point the figures are what these would give. */
export interface SeriesPoint extends KeptPoint {
  /** Its month, or group, is not over, or the event that would end it has not come. */
  readonly isOpen: boolean;
  readonly members: readonly Contribution[];
}

/** What points are made with. */
export interface SeriesOptions {
  readonly kept: readonly KeptPoint[];
  /** `YYYY-MM`: the month of today. It, and any after it, is not over unless a later month has cases: dates may have been shifted forward. */
  readonly openMonth: string;
  /** SHA-256 of a text, hexadecimal. */
  readonly digestOf: (text: string) => string;
}

/**
 * Returns what each case gives to a chart, in order of time, and how many give nothing.
 * Missing a case outside the chosen columns' values, one that is not usable (not monitored, or not at the chosen sites), one that waits to be
 *         read where confirmed dropouts count, and an undated one is
 *         left out, counted under the first of these that holds.
 */
export function contributions(cases: readonly QualityCase[], definition: Pick<QualityDefinition, 'lossOf' | 'longerThanS' | 'doubtfulLost' | 'sites' | 'choice' | 'patientColumn' | 'dropouts'>): { readonly taken: Contribution[]; readonly leftOut: Omit<ChartLeftOut, 'beforeFirst'> } {
  const leftOut = { undated: 0, notUsable: 0, notChosen: 0 };
  let notReviewed = 0;
  const patientColumn = definition.patientColumn ?? null;
  const taken: Contribution[] = [];
  for (const one of cases) {
    const losses = lossesOf(one, definition);
    if (!isChosen(one, definition.choice)) leftOut.notChosen++;
    else if (one.notUsable !== null || losses.every(({ monitoredMs }) => monitoredMs <= 0)) leftOut.notUsable++;
    else if (definition.dropouts === 'confirmed' && one.confirmed === null) notReviewed++;
    else if (one.startedAtMs === null || one.date === null) leftOut.undated++;
    else {
      taken.push({
        caseKey: one.caseKey,
        caseId: one.caseId,
        cluster: clusterOf(patientColumn === null ? one : { ...one, patientKey: statedPatient(one.attributes, patientColumn) }),
        startedAtMs: one.startedAtMs,
        date: one.date,
        hasLongLoss: losses.some(({ longestMidMs }) => isAbove(longestMidMs, definition.longerThanS * 1000)),
        losses: total(losses, ({ count }) => count),
        lostMs: total(losses, ({ lostMidMs }) => lostMidMs),
        monitoredMs: total(losses, ({ monitoredMs }) => monitoredMs),
        durationsS: losses.flatMap(({ midsMs }) => midsMs.map((ms) => ms / 1000)),
      });
    }
  }
  return { taken: taken.sort(inTime), leftOut: definition.dropouts === 'confirmed' ? { ...leftOut, notReviewed } : leftOut };
}

/** Returns whether a case has one of the values in each of the columns. */
export function isChosen({ attributes }: Pick<QualityCase, 'attributes'>, choice: readonly ColumnChoice[]): boolean {
  return choice.every(({ column, values }) => values.includes(attributes[column] ?? ''));
}

/** Returns the losses that a chart counts in a case: those of each sensor that it asks for, or those of the whole case. */
export function lossesOf(one: QualityCase, { lossOf, doubtfulLost, sites, dropouts }: Pick<QualityDefinition, 'lossOf' | 'doubtfulLost' | 'sites' | 'dropouts'>): readonly QualityLosses[] {
  const confirmed = dropouts === 'confirmed' ? one.confirmed : null;
  if (confirmed !== null) return lossOf === 'blind intervals' ? [confirmed.blind] : confirmed.sites.filter((_, i) => sites === null || sites.some((site) => site === one.sites[i]?.site));
  if (lossOf === 'blind intervals') return [doubtfulLost ? one.blindDoubtfulLost : one.blind];
  return one.sites.filter(({ site }) => sites === null || sites.includes(site)).map((site) => (doubtfulLost ? site.doubtfulLost : site.any));
}

function inTime(a: Contribution, b: Contribution): number {
  return a.startedAtMs - b.startedAtMs || inCodePointOrder(a.caseKey, b.caseKey);
}

function total(losses: readonly QualityLosses[], of: (one: QualityLosses) => number): number {
  return losses.reduce((sum, one) => sum + of(one), 0);
}

/**
 * Returns the points of a chart: first those that were kept, with what the cases of today would give for them, then those that follow.
 * Shape   in order of time without a hole; a month without cases is a point without a value. Kept points keep their bounds, so a case
 *         that comes late changes the point that it falls into and moves no other.
 * Missing cases earlier than the first kept point are counted in `beforeFirst`; they belong to no point.
 */
export function seriesPoints(taken: readonly Contribution[], definition: Pick<QualityDefinition, 'measure' | 'grouping'>, options: SeriesOptions): { readonly points: SeriesPoint[]; readonly beforeFirst: number } {
  if (isBetweenEvents(definition.measure)) return pointsBetween(taken, definition.measure, options);
  return definition.grouping.by === 'month' ? pointsByMonth(taken, definition.measure, options) : pointsOfGroups(taken, definition.measure, definition.grouping.size, options);
}

/** Returns whether a measure counts from one case with a long loss to the next. */
export function isBetweenEvents(measure: ChartMeasure): boolean {
  return measure === 'cases between long losses' || measure === 'days between long losses';
}

function pointsByMonth(taken: readonly Contribution[], measure: ChartMeasure, { kept, openMonth, digestOf }: SeriesOptions): { points: SeriesPoint[]; beforeFirst: number } {
  const byMonth = new Map<string, Contribution[]>();
  for (const one of taken) {
    const month = one.date.slice(0, 7);
    const members = byMonth.get(month);
    if (members === undefined) byMonth.set(month, [one]);
    else members.push(one);
  }
  const months = [...byMonth.keys(), ...kept.map(({ label }) => label)].sort();
  const first = kept[0]?.label ?? months[0];
  const last = months[months.length - 1];
  const points: SeriesPoint[] = [];
  if (first !== undefined && last !== undefined) {
    for (let month = first; month <= last; month = monthAfter(month)) {
      const members = byMonth.get(month) ?? [];
      points.push({
        label: month,
        firstDate: `${month}-01`,
        lastDate: `${month}-${daysOf(month)}`,
        firstMs: members[0]?.startedAtMs ?? null,
        lastMs: members[members.length - 1]?.startedAtMs ?? null,
        ...figuresOf(members, measure, digestOf),
        isOpen: points.length >= kept.length && month >= openMonth && month === last,
        members,
      });
    }
  }
  return { points, beforeFirst: first === undefined ? 0 : taken.filter(({ date }) => date.slice(0, 7) < first).length };
}

function pointsOfGroups(taken: readonly Contribution[], measure: ChartMeasure, size: number, { kept, digestOf }: SeriesOptions): { points: SeriesPoint[]; beforeFirst: number } {
  const start = kept[0]?.firstMs ?? -Infinity;
  const end = kept[kept.length - 1]?.lastMs ?? -Infinity;
  const points = kept.map((point, i): SeriesPoint => {
    // A case between two kept points belongs to the earlier.
    const next = kept[i + 1]?.firstMs ?? Infinity;
    const members = taken.filter(({ startedAtMs }) => startedAtMs >= (point.firstMs ?? NaN) && startedAtMs < next && startedAtMs <= end);
    return { ...point, ...figuresOf(members, measure, digestOf), isOpen: false, members };
  });
  const rest = taken.filter(({ startedAtMs }) => startedAtMs > end);
  for (let at = 0; at < rest.length; ) {
    let to = Math.min(at + size, rest.length);
    // Cases of one instant are not parted: bounds could not tell them apart later.
    while (rest[to] !== undefined && rest[to]?.startedAtMs === rest[to - 1]?.startedAtMs) to++;
    const members = rest.slice(at, to);
    points.push({ ...boundsOf(members), ...figuresOf(members, measure, digestOf), isOpen: members.length < size, members });
    at = to;
  }
  return { points, beforeFirst: taken.filter(({ startedAtMs }) => startedAtMs < start).length };
}

function pointsBetween(taken: readonly Contribution[], measure: ChartMeasure, { kept, digestOf }: SeriesOptions): { points: SeriesPoint[]; beforeFirst: number } {
  const points = kept.map((point): SeriesPoint => {
    const members = taken.filter(({ startedAtMs }) => startedAtMs > (point.firstMs ?? NaN) && startedAtMs <= (point.lastMs ?? NaN));
    return { ...point, ...between(inEventOrder(members), measure, point.firstMs ?? NaN, digestOf), isOpen: false, members };
  });
  const lastKept = kept[kept.length - 1];
  const ordered = inEventOrder(taken);
  const firstEvent = ordered.find(({ hasLongLoss }) => hasLongLoss);
  const start = kept[0]?.firstMs ?? firstEvent?.startedAtMs ?? Infinity;
  let from = lastKept === undefined ? { ms: firstEvent?.startedAtMs ?? Infinity, date: firstEvent?.date ?? '' } : { ms: lastKept.lastMs ?? Infinity, date: lastKept.lastDate };
  let members: Contribution[] = [];
  const close = (isOpen: boolean): void => {
    const last = members[members.length - 1];
    if (last === undefined) return;
    points.push({ label: last.date, firstDate: from.date, lastDate: last.date, firstMs: from.ms, lastMs: last.startedAtMs, ...between(members, measure, from.ms, digestOf, isOpen), isOpen, members });
    from = { ms: last.startedAtMs, date: last.date };
    members = [];
  };
  ordered.forEach((one, i) => {
    if (one.startedAtMs <= from.ms) return;
    members.push(one);
    if (one.hasLongLoss && ordered[i + 1]?.startedAtMs !== one.startedAtMs) close(false);
  });
  close(true);
  return { points, beforeFirst: taken.filter(({ startedAtMs }) => startedAtMs < start).length };
}

/** Of cases that began at one instant, those with the event come last: together they end the count, as one event. */
function inEventOrder(taken: readonly Contribution[]): Contribution[] {
  return [...taken].sort((a, b) => a.startedAtMs - b.startedAtMs || Number(a.hasLongLoss) - Number(b.hasLongLoss) || inCodePointOrder(a.caseKey, b.caseKey));
}

/** The figures from one event to the next. Where the cases of a kept point hold another event than the one at its end, it has no value. */
function between(members: readonly Contribution[], measure: ChartMeasure, fromMs: number, digestOf: (text: string) => string, isOpen = false): PointFigures {
  const events = members.filter(({ hasLongLoss }) => hasLongLoss).length;
  const last = members[members.length - 1];
  const isWhole = last !== undefined && (isOpen ? events === 0 : last.hasLongLoss && members.every((one) => !one.hasLongLoss || one.startedAtMs === last.startedAtMs));
  const value = !isWhole ? null : measure === 'cases between long losses' ? members.length - events : (last.startedAtMs - fromMs) / DAY_MS;
  return { cases: members.length, numerator: events, denominator: null, value, digest: digestOf(contentOf(members, measure)) };
}

/** Returns the figures of some cases together; for the measures between events those of the share of cases with a long loss. */
export function figuresOf(members: readonly Contribution[], measure: ChartMeasure, digestOf: (text: string) => string): PointFigures {
  const sum = (of: (one: Contribution) => number): number => members.reduce((all, one) => all + of(one), 0);
  const common = { cases: members.length, digest: digestOf(contentOf(members, measure)) };
  const ratio = (numerator: number, denominator: number): PointFigures => ({ ...common, numerator, denominator, value: denominator > 0 ? numerator / denominator : null });
  switch (measure) {
    case 'losses per hour':
      return ratio(sum(({ losses }) => losses), sum(({ monitoredMs }) => monitoredMs) / HOUR_MS);
    case 'share of time lost':
      return ratio(sum(({ lostMs }) => lostMs), sum(({ monitoredMs }) => monitoredMs));
    case 'median duration': {
      const durations = members.flatMap(({ durationsS }) => durationsS);
      return { ...common, numerator: durations.length, denominator: null, value: median(durations) };
    }
    default:
      return ratio(members.filter(({ hasLongLoss }) => hasLongLoss).length, members.length);
  }
}

/** What a digest is made of: only what the measure looks at, so that a change of anything else is no difference. */
function contentOf(members: readonly Contribution[], measure: ChartMeasure): string {
  return JSON.stringify(
    members.map(({ caseKey, startedAtMs, hasLongLoss, losses, lostMs, monitoredMs, durationsS }) => {
      switch (measure) {
        case 'losses per hour':
          return [caseKey, losses, monitoredMs];
        case 'share of time lost':
          return [caseKey, lostMs, monitoredMs];
        case 'median duration':
          return [caseKey, ...durationsS];
        case 'cases with a long loss':
          return [caseKey, hasLongLoss];
        default:
          return [caseKey, hasLongLoss, startedAtMs];
      }
    }),
  );
}

function boundsOf(members: readonly Contribution[]): Pick<KeptPoint, 'label' | 'firstDate' | 'lastDate' | 'firstMs' | 'lastMs'> {
  const firstDate = members[0]?.date ?? '';
  const last = members[members.length - 1];
  const lastDate = last?.date ?? '';
  return { label: firstDate === lastDate ? firstDate : `${firstDate} – ${lastDate}`, firstDate, lastDate, firstMs: members[0]?.startedAtMs ?? null, lastMs: last?.startedAtMs ?? null };
}

function monthAfter(month: string): string {
  const [year = NaN, of = NaN] = month.split('-').map(Number);
  return of === 12 ? `${String(year + 1).padStart(4, '0')}-01` : `${String(year).padStart(4, '0')}-${String(of + 1).padStart(2, '0')}`;
}

function daysOf(month: string): number {
  const [year = NaN, of = NaN] = month.split('-').map(Number);
  return daysInMonth(year, of);
}
