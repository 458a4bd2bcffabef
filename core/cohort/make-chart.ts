import { type Failure, type Result, fail, ok } from '../base/result.ts';
import type { QualityCase } from '../model/quality-case.ts';
import { BASELINE_POINTS, KINDS_OF_MEASURE, PROVISIONAL_POINTS } from '../model/quality-chart.ts';
import type { ChartBaseline, ChartEdit, ChartPhase, ChartRequest, KeptPoint, PhaseRequest, PointFigures, QualityChart, QualityDefinition, QualityProposal } from '../model/quality-chart.ts';
import { chartChoice } from './chart-choice.ts';
import { frozenLimits } from './chart-limits.ts';
import { type SeriesOptions, type SeriesPoint, contributions, seriesPoints } from './quality-series.ts';

/** What the making of a chart needs from outside. */
export interface MakeOptions extends Omit<SeriesOptions, 'kept'> {
  /** ISO instant. */
  readonly now: string;
  /** An id that no chart and no change has. */
  readonly newId: string;
  /** Whether a column says which person did something: charts of persons are not made. */
  readonly isPersonColumn: (column: string) => boolean;
}

/** Limits lie this far from the centre. Source: Shewhart 1931. */
const SIGMAS = 3;
/** A proposed baseline takes no more points than these. Source: handbook 9.3 (20 to 25). */
const MOST_BASELINE_POINTS = 24;

/** Returns what a chart of this definition would look like, or why there can be none. */
export function proposeChart(definition: QualityDefinition, cases: readonly QualityCase[], options: Omit<SeriesOptions, 'kept'> & Pick<MakeOptions, 'isPersonColumn'>): Result<QualityProposal> {
  const refused = refusal(definition, options);
  if (refused !== null) return fail(refused);
  const { taken, leftOut } = contributions(cases, definition);
  const { points, beforeFirst } = seriesPoints(taken, definition, { ...options, kept: [] });
  const complete = points.filter(({ isOpen }) => !isOpen);
  return ok({
    points: points.map(({ members, ...point }) => ({ ...point, caseKeys: members.map(({ caseKey }) => caseKey) })),
    choice: chartChoice(definition.measure, complete),
    baseline: proposedBaseline(complete),
    leftOut: { ...leftOut, beforeFirst },
  });
}

function proposedBaseline(points: readonly PointFigures[]): ChartBaseline | null {
  const lastPoint = Math.min(points.length, MOST_BASELINE_POINTS) - 1;
  const counted = points.slice(0, lastPoint + 1).filter(({ value }) => value !== null).length;
  return counted < PROVISIONAL_POINTS ? null : { firstPoint: 0, lastPoint, excluded: [], isProvisional: counted < BASELINE_POINTS };
}

/** Returns a chart with every complete point kept and the limits of its first phase fixed, or why it cannot be made. */
export function makeChart({ name, definition, phase }: ChartRequest, cases: readonly QualityCase[], options: MakeOptions): Result<QualityChart> {
  const refused = refusal(definition, options);
  if (refused !== null) return fail(refused);
  if (name.trim() === '') return fail({ code: 'no-name', message: 'A chart needs a name.', remedy: 'Write what it shows, such as “Dropouts per hour, cardiac”.' });
  const { points } = seriesPoints(contributions(cases, definition).taken, definition, { ...options, kept: [] });
  const kept = points.filter(({ isOpen }) => !isOpen).map(keptOf);
  const first = phaseOf({ ...phase, fromPoint: 0 }, definition, kept, options.now);
  if (!first.ok) return first;
  return ok({ chartId: options.newId, name: name.trim(), madeAt: options.now, definition, points: kept, phases: [first.value], changes: [], restated: [] });
}

/** Returns a chart after a change by a person, or why it cannot be changed so. */
export function editChart(chart: QualityChart, edit: ChartEdit, cases: readonly QualityCase[], options: MakeOptions): Result<QualityChart> {
  const series = (): SeriesPoint[] => seriesPoints(contributions(cases, chart.definition).taken, chart.definition, { ...options, kept: chart.points }).points;
  switch (edit.kind) {
    case 'keep points': {
      const fresh = series().slice(chart.points.length).filter(({ isOpen }) => !isOpen);
      if (fresh.length === 0) return fail({ code: 'nothing-to-keep', message: 'No complete point waits to be kept.', remedy: 'A month is complete when it is over, a group when it has all its cases.' });
      return ok({ ...chart, points: [...chart.points, ...fresh.map(keptOf)] });
    }
    case 'restate point': {
      const before = chart.points[edit.point];
      const today = series()[edit.point];
      if (before === undefined || today === undefined) return fail({ code: 'no-point', message: 'The chart has no such kept point.', remedy: 'Open the chart again and choose the point there.' });
      if (edit.reason.trim() === '') return fail(noReason('A kept point is worked out anew'));
      return ok({ ...chart, points: chart.points.map((point, i) => (i === edit.point ? keptOf(today) : point)), restated: [...chart.restated, { point: edit.point, before, reason: edit.reason.trim(), madeAt: options.now }] });
    }
    case 'new phase': {
      if (edit.phase.fromPoint > chart.points.length) return fail(notAPoint(edit.phase.fromPoint));
      const phase = phaseOf(edit.phase, chart.definition, chart.points, options.now);
      return phase.ok ? ok({ ...chart, phases: [...chart.phases, phase.value] }) : phase;
    }
    case 'mark change': {
      if (edit.text.trim() === '') return fail({ code: 'no-text', message: 'A change needs a few words.', remedy: 'Write what was changed, such as “second sensor with tucked arms”.' });
      if (chart.changes.some(({ date }) => date === edit.date)) return fail({ code: 'change-known', message: `A change is already marked on ${edit.date}.`, remedy: 'Remove that one first, and mark both in one text.' });
      return ok({ ...chart, changes: [...chart.changes, { changeId: options.newId, date: edit.date, text: edit.text.trim(), madeAt: options.now }].sort((a, b) => (a.date < b.date ? -1 : 1)) });
    }
    case 'remove change':
      return ok({ ...chart, changes: chart.changes.filter(({ changeId }) => changeId !== edit.changeId) });
    case 'rename':
      return edit.name.trim() === '' ? fail({ code: 'no-name', message: 'A chart needs a name.', remedy: 'Write what it shows.' }) : ok({ ...chart, name: edit.name.trim() });
  }
}

/** Why no chart is made of a definition; null when it can be. */
function refusal({ lossOf, sites, choice, dropouts, doubtfulLost }: QualityDefinition, { isPersonColumn }: Pick<MakeOptions, 'isPersonColumn'>): Failure | null {
  const person = choice.find(({ column }) => isPersonColumn(column));
  if (person !== undefined) return { code: 'person-column', message: `The column “${person.column}” names persons; no chart is made of a person.`, remedy: 'Choose cases by another column.' };
  if (lossOf === 'blind intervals' && sites !== null) return { code: 'blind-has-no-site', message: 'A blind interval belongs to the whole case, not to a site.', remedy: 'Take every site, or count dropouts.' };
  if (dropouts === 'confirmed' && doubtfulLost) return { code: 'confirmed-has-one-result', message: 'Readers read the dropouts of the result in which doubtful values are information.', remedy: 'Count doubtful values as information, or take dropouts as computed.' };
  return null;
}

function phaseOf(request: PhaseRequest, { measure }: QualityDefinition, points: readonly PointFigures[], now: string): Result<ChartPhase> {
  const { fromPoint, firstPoint, lastPoint, excluded, rules } = request;
  const proposed = chartChoice(measure, points);
  const kind = request.kind ?? proposed.kind;
  if (!KINDS_OF_MEASURE[measure].includes(kind)) return fail({ code: 'kind-not-fit', message: 'This measure is not drawn as such a chart.', remedy: `Choose one of: ${KINDS_OF_MEASURE[measure].join(', ')}.` });
  if (request.reason.trim() === '') return fail(noReason('Limits are fixed'));
  const choice = { ...proposed, kind, reason: kind === proposed.kind ? proposed.reason : ('chosen by a person' as const) };
  const places = points.map((_, i) => i).filter((i) => i >= firstPoint && i <= lastPoint && !excluded.includes(i));
  const counted = places.filter((i) => points[i]?.value !== null);
  const hasCentre = kind !== 'line';
  const hasLimits = hasCentre && kind !== 'run';
  if (hasCentre && lastPoint >= points.length) return fail(notAPoint(lastPoint));
  if (hasLimits && counted.length < PROVISIONAL_POINTS) {
    return fail({ code: 'baseline-short', message: `Limits need ${PROVISIONAL_POINTS} points with a value; this baseline has ${counted.length}.`, remedy: `Take a longer baseline, or draw a run chart until there are ${PROVISIONAL_POINTS}.` });
  }
  if (hasCentre && counted.length === 0) return fail({ code: 'baseline-short', message: 'The baseline has no point with a value.', remedy: 'Take points that have cases.' });
  const baseline: ChartBaseline = { firstPoint, lastPoint, excluded, isProvisional: counted.length < BASELINE_POINTS };
  return ok({ fromPoint, kind, choice, limits: frozenLimits(kind, points, baseline, SIGMAS), baseline, sigmas: SIGMAS, rules, reason: request.reason.trim(), madeAt: now });
}

function keptOf({ label, firstDate, lastDate, firstMs, lastMs, cases, numerator, denominator, value, digest }: SeriesPoint): KeptPoint {
  return { label, firstDate, lastDate, firstMs, lastMs, cases, numerator, denominator, value, digest };
}

function noReason(what: string): Failure {
  return { code: 'no-reason', message: `${what} only with a reason.`, remedy: 'Write why; it is kept with the chart.' };
}

function notAPoint(point: number): Failure {
  return { code: 'no-point', message: `The chart has no point ${point + 1} that is kept.`, remedy: 'Keep the complete points first, then choose among them.' };
}
