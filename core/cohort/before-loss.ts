import type { Interval } from '../base/interval.ts';
import { intersection, totalMs, union } from '../base/interval.ts';
import { exposureCategories } from '../metrics/exposure-categories.ts';
import type { WindowLoss, WindowParts, WindowTally } from '../metrics/risk-windows.ts';
import { windowParts } from '../metrics/risk-windows.ts';
import type { BeforeLoss, CategoryRate, ExposureRate, RateKind, RateVariant, RateWindows, ShiftFigure, VariantRate } from '../model/cohort-before-loss.ts';
import { RATE_CATEGORIES, RATE_KINDS, RATE_VARIANTS } from '../model/cohort-before-loss.ts';
import type { CohortCase } from '../model/cohort-case.ts';
import type { CohortCaution } from '../model/cohort-caution.ts';
import { FEW_UNITS } from '../model/cohort-caution.ts';
import { attributableAboveChance } from '../stats/attributable.ts';
import { circularShift } from '../stats/circular-shift.ts';
import type { ShiftCase } from '../stats/circular-shift.ts';
import { median } from '../stats/quantile.ts';
import { strataWithBothTimes } from '../stats/rate-ratio.ts';
import type { RateStratum } from '../stats/rate-ratio.ts';
import { inCaseOrder } from './clusters.ts';
import { doseResponse } from './dose-response.ts';
import type { DoseCase } from './dose-response.ts';
import { rateFigures } from './rate-figures.ts';
import { partsBeside, rateExposures, rateSensors, rateView, stratumOf, tallyOver, windowLosses } from './rate-view.ts';
import type { OnsetAt, RateExposure, RateLoss, RateSensor, RateView } from './rate-view.ts';
import { HOUR_MS } from '../time/civil.ts';

/** How rates after exposures are worked out. */
export interface BeforeLossOptions {
  readonly conf: number;
  readonly windows: RateWindows;
  /** Whether only the ratios of each kind at all sensors are wanted: what other definitions are compared by. */
  readonly isMainOnly: boolean;
}


/**
 * Returns the rate of loss after boluses and after changes of position, against control time of the same cases.
 * Shape   a stratum is a case; times of its sensors add up. For each kind: all at all sensors with every variant and the
 *         circular shift, then per sensor (where there are several), then per drug or position at all sensors. For one drug or
 *         position, the windows of the others of its kind are not control time.
 * Units   ms; rates per hour of sensor time in which a loss could begin.
 * Missing a case without such an exposure, or without control time, is left out and counted. What is not defined is null with
 *         its reason. A kind that no case has is not listed.
 * Source  statistics d; docs/methods/rates-after-exposures.md.
 */
export function beforeLoss(cases: readonly CohortCase[], { conf, windows, isMainOnly }: BeforeLossOptions): BeforeLoss {
  const views = [...cases]
    .sort(inCaseOrder)
    .map((one) => rateView(one, windows))
    .filter(({ sensors }) => sensors.length > 0);
  const siteKeys = [...new Set(views.flatMap(({ sensors }) => sensors.map(({ siteKey }) => siteKey)))].sort();
  const rates = RATE_KINDS.flatMap((kind) => {
    const labels = [...new Set(views.flatMap(({ one }) => one.exposures.filter((exposure) => exposure.kind === kind).map(({ label }) => label)))].sort();
    if (labels.length === 0) return [];
    const rate = (label: string | null, siteKey: string | null) => exposureRate(views, { kind, label, siteKey, conf, windows, isMainOnly });
    if (isMainOnly) return [rate(null, null)];
    return [rate(null, null), ...(siteKeys.length > 1 ? siteKeys.map((siteKey) => rate(null, siteKey)) : []), ...labels.map((label) => rate(label, null))];
  });
  return { conf, windows, rates, categories: isMainOnly ? [] : categoryRates(views, conf), cautions: ['association is not cause'] };
}

interface RateQuestion extends BeforeLossOptions {
  readonly kind: RateKind;
  readonly label: string | null;
  readonly siteKey: string | null;
}

/** A case in one question: its sensors, the exposures asked for, the others of their kind, and what they make of each sensor's time. */
interface AskedCase {
  readonly view: RateView;
  readonly sensors: readonly RateSensor[];
  readonly own: readonly RateExposure[];
  readonly others: readonly RateExposure[];
  readonly parts: ReadonlyMap<RateSensor, WindowParts>;
}

function asked(view: RateView, sensors: readonly RateSensor[], own: readonly RateExposure[], others: readonly RateExposure[]): AskedCase {
  return { view, sensors, own, others, parts: new Map(sensors.map((sensor) => [sensor, partsBeside(sensor.spans, own, others)])) };
}

/** Mean arterial pressures before onsets, mmHg. */
interface PressuresBefore {
  readonly risk: number[];
  readonly control: number[];
}

const NO_PARTS: WindowParts = { risk: [], pre: [], control: [] };

function exposureRate(views: readonly RateView[], question: RateQuestion): ExposureRate {
  const { kind, label, siteKey, conf, isMainOnly } = question;
  const isWhole = label === null && siteKey === null && !isMainOnly;
  const isDosed = kind === 'vasopressor bolus' && label !== null && siteKey === null && !isMainOnly;
  let watched = 0;
  let casesWithoutControl = 0;
  let casesAtRisk = 0;
  const exposures: RateExposure[] = [];
  const strata: RateStratum[] = [];
  const sums = { preMs: 0, preOnsets: 0, notPlaced: 0 };
  const pressures: PressuresBefore = { risk: [], control: [] };
  const circles: ShiftCase[] = [];
  const byVariant = RATE_VARIANTS.map((): (readonly RateStratum[] | null)[] => []);
  const dosed: DoseCase[] = [];
  const onsetCases: ExposureRate['onsetCases'][number][] = [];
  // One case after the other, and only its numbers kept: ten thousand cases leave little behind.
  for (const view of views) {
    const sensors = siteKey === null ? view.sensors : view.sensors.filter((sensor) => sensor.siteKey === siteKey);
    if (sensors.length === 0) continue;
    watched++;
    const all = view.exposures[kind];
    const own = label === null ? all : all.filter(({ exposure }) => exposure.label === label);
    // Without such an exposure there is no time at risk: counted, and not looked at.
    if (own.length === 0) continue;
    exposures.push(...own);
    const one = asked(view, sensors, own, label === null ? [] : all.filter(({ exposure }) => exposure.label !== label));
    const tally = caseTally(one, null);
    strata.push(stratumOf(tally));
    if (tally.riskMs > 0) {
      casesAtRisk++;
      if (tally.controlMs === 0) casesWithoutControl++;
      else {
        sums.preMs += tally.preMs;
        sums.preOnsets += tally.preOnsets;
        sums.notPlaced += tally.notPlaced;
        addPressures(pressures, one);
        const { riskOnsets, controlOnsets } = tally;
        if (!isMainOnly && riskOnsets + controlOnsets > 0) onsetCases.push({ caseKey: view.one.caseKey, riskOnsets, controlOnsets });
      }
    }
    if (isDosed) dosed.push({ sensors, own, others: one.others });
    if (!isWhole) continue;
    circles.push(...circleOf(one));
    RATE_VARIANTS.forEach((variant, v) => byVariant[v]?.push(variantTallies(variant, one, question)?.map(stratumOf) ?? null));
  }
  const { counts, ...figures } = rateFigures(strata, conf);
  const perHour = (onsets: number, ms: number) => (ms > 0 ? (onsets * HOUR_MS) / ms : null);
  const exposuresByHand = exposures.filter(({ exposure }) => exposure.manual).length;
  const cautions: CohortCaution[] = ['association is not cause'];
  if (counts.casesInformative < FEW_UNITS) cautions.push('fewer than 10 units');
  if (exposuresByHand > 0) cautions.push('times typed by hand');
  const { fraction, events, reason } = attributableAboveChance(counts.riskOnsets, figures.figure.ratio, figures.figure.lower);
  return {
    kind,
    label,
    siteKey,
    ...counts,
    ...figures,
    exposures: exposures.length,
    exposuresByHand,
    casesWithoutExposure: watched - casesAtRisk,
    casesWithoutControl,
    onsetCases,
    preMs: sums.preMs,
    preOnsets: sums.preOnsets,
    onsetsNotPlaced: sums.notPlaced,
    riskPerH: perHour(counts.riskOnsets, counts.riskMs),
    controlPerH: perHour(counts.controlOnsets, counts.controlMs),
    attributable: { fraction, onsets: events, reason },
    pressureBeforeRisk: median(pressures.risk),
    pressureBeforeControl: median(pressures.control),
    shift: isWhole ? shiftFigure(circles) : null,
    variants: isWhole ? RATE_VARIANTS.map((variant, v) => variantRate(variant, byVariant[v] ?? [], conf)) : [],
    dose: isDosed ? doseResponse(dosed, conf) : null,
    cautions,
  };
}

/** The tally of a case; `at` null: onsets in the middle. */
function caseTally({ sensors, parts }: AskedCase, at: OnsetAt | null): WindowTally {
  return tallyOver(sensors, (sensor) => parts.get(sensor) ?? NO_PARTS, ({ losses, onsets }) => (at === null ? onsets : windowLosses(losses, at)));
}

function addPressures(pressures: PressuresBefore, { parts }: AskedCase): void {
  for (const [{ losses }, { risk, control }] of parts) {
    for (const { middleMs, pressureBefore } of losses) {
      if (pressureBefore === null) continue;
      if (holds(risk, middleMs)) pressures.risk.push(pressureBefore);
      else if (holds(control, middleMs)) pressures.control.push(pressureBefore);
    }
  }
}

function holds(spans: readonly Interval[], atMs: number): boolean {
  return spans.some(({ startMs, endMs }) => atMs >= startMs && atMs < endMs);
}

/** The tallies of a case under a variant: one, or one per phase; null where it cannot be used. */
function variantTallies(variant: RateVariant, one: AskedCase, { kind, windows }: RateQuestion): WindowTally[] | null {
  const { view, sensors, own, others, parts } = one;
  switch (variant) {
    case 'case by phase':
      return phaseTallies(one);
    case 'onset at its earliest':
      return [caseTally(one, 'earliestMs')];
    case 'onset at its latest':
      return [caseTally(one, 'latestMs')];
    case 'first onset after each exposure':
      return [tallyOver(sensors, (sensor) => upToFirstOnset(parts.get(sensor) ?? NO_PARTS, sensor.losses), ({ onsets }) => onsets)];
    case 'losses shortly after another joined':
      return [tallyOver(sensors, (sensor) => parts.get(sensor) ?? NO_PARTS, ({ onsets }) => joined(onsets, windows.washOutS * 1000))];
    case 'look-back windows of the parameters':
      return [caseTally(asked(view, sensors, rateExposures(view.one.exposures, kind, windows, true), others), null)];
    case 'doubtful samples as lost':
      return [caseTally(asked(view, rateSensors(view.one, ({ doubtfulLost }) => doubtfulLost), own, others), null)];
  }
}

/** The figure of a variant from the strata of each case; cases that it cannot use are null. */
function variantRate(variant: RateVariant, cases: readonly (readonly RateStratum[] | null)[], conf: number): VariantRate {
  const { counts, figure } = rateFigures(cases.flatMap((strata) => strata ?? []), conf);
  // Strata finer than cases are counted as the cases that they belong to.
  const used = cases.map((strata) => strataWithBothTimes(strata ?? []));
  return {
    variant,
    ...counts,
    casesUsed: used.filter((strata) => strata.length > 0).length,
    casesInformative: used.filter((strata) => strata.some(({ riskEvents, controlEvents }) => riskEvents + controlEvents > 0)).length,
    figure,
    casesWithoutPhases: cases.filter((strata) => strata === null).length,
  };
}

/** Before, during and after surgery, as far as start and end are on record; null where neither is. */
function phaseTallies({ view, sensors, own, others }: AskedCase): WindowTally[] | null {
  const cuts = [view.one.surgery.startMs, view.one.surgery.endMs].filter((ms) => ms !== null).sort((a, b) => a - b);
  if (cuts.length === 0) return null;
  return [...cuts, Infinity].map((endMs, i) => {
    const phase = [{ startMs: i === 0 ? -Infinity : (cuts[i - 1] ?? NaN), endMs }];
    return tallyOver(sensors, ({ spans }) => partsBeside(intersection(spans, phase), own, others), ({ onsets }) => onsets);
  });
}

/** The windows end with their first onset: what a loss provokes afterwards does not count. */
function upToFirstOnset(parts: WindowParts, losses: readonly RateLoss[]): WindowParts {
  const risk = parts.risk.map(({ startMs, endMs }) => {
    const first = losses.find(({ middleMs }) => middleMs >= startMs && middleMs < endMs);
    // The onset itself still lies inside; its own lost time begins there and carries no risk.
    return { startMs, endMs: first === undefined ? endMs : Math.min(endMs, first.middleMs + 1) };
  });
  return { ...parts, risk };
}

/** Losses that begin within `washOutMs` of the end of another are one loss with it. */
function joined(losses: readonly WindowLoss[], washOutMs: number): WindowLoss[] {
  const out: WindowLoss[] = [];
  for (const loss of losses) {
    const last = out[out.length - 1];
    if (last !== undefined && loss.startMs - last.endMs < washOutMs) out[out.length - 1] = { ...last, endMs: Math.max(last.endMs, loss.endMs) };
    else out.push(loss);
  }
  return out;
}

/** Exposures and onsets of a case on the circle of its watched time, all sensors together, in ms; none where a turn changes nothing. */
function circleOf({ sensors, own }: AskedCase): ShiftCase[] {
  const spans = union(sensors.flatMap((sensor) => sensor.spans)).map(({ startMs, endMs }) => ({ startMs: Math.round(startMs), endMs: Math.round(endMs) }));
  const { risk } = windowParts(spans, own.map(({ atMs, rule }) => ({ atMs: Math.round(atMs), rule })));
  const place = placeOnCircle(spans);
  const onsets = sensors.flatMap(({ losses }) => losses.flatMap(({ middleMs }) => place(Math.round(middleMs)) ?? []));
  if (risk.length === 0 || onsets.length === 0) return [];
  return [{ length: totalMs(spans), exposed: risk.map(({ startMs, endMs }) => [place(startMs) ?? NaN, (place(startMs) ?? NaN) + endMs - startMs]), onsets }];
}

function shiftFigure(circles: readonly ShiftCase[]): ShiftFigure {
  const { observed, expected, casesInformative, pGreater, pLess, p } = circularShift(circles);
  return { observed, expected, cases: casesInformative, pGreater, pLess, p };
}

/** Place of an instant in the watched time laid end to end; null outside it. */
function placeOnCircle(spans: readonly Interval[]): (atMs: number) => number | null {
  const starts: number[] = [];
  let length = 0;
  for (const { startMs, endMs } of spans) {
    starts.push(length);
    length += endMs - startMs;
  }
  return (atMs) => {
    const i = spans.findIndex(({ startMs, endMs }) => atMs >= startMs && atMs < endMs);
    const span = spans[i];
    return span === undefined ? null : (starts[i] ?? NaN) + atMs - span.startMs;
  };
}

/** Four exclusive categories of the watched time: three of them against the fourth, in no window and not shortly before an exposure. */
function categoryRates(views: readonly RateView[], conf: number): CategoryRate[] {
  const pick = { 'bolus only': 'firstOnly', 'position only': 'secondOnly', 'both': 'both' } as const;
  const sorted = views.flatMap(({ sensors, exposures: { 'vasopressor bolus': boluses, 'position': positions } }) => {
    if (boluses.length + positions.length === 0) return [];
    return [sensors.map((sensor) => ({ sensor, categories: exposureCategories(sensor.spans, windowParts(sensor.spans, boluses), windowParts(sensor.spans, positions)) }))];
  });
  return RATE_CATEGORIES.map((category): CategoryRate => {
    const strata = sorted.map((sensors) =>
      stratumOf(
        tallyOver(
          sensors.map(({ sensor }) => sensor),
          (sensor) => {
            const categories = sensors.find((one) => one.sensor === sensor)?.categories;
            return { risk: categories?.[pick[category]] ?? [], pre: [], control: categories?.neither ?? [] };
          },
          ({ onsets }) => onsets,
        ),
      ),
    );
    const { counts, figure } = rateFigures(strata, conf);
    return { category, ...counts, figure };
  });
}
