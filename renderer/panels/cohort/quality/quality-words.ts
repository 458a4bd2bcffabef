import type { ChangeEffect, ChangeSide, ChartChoice, ChartKind, ChartLeftOut, ChartMeasure, ChartRuns, ChoiceReason, PointFigures, PointSignal, QualityChartView, QualityDefinition } from '../../../../core/model/quality-chart.ts';
import { shortDefinitionText } from '../../../format/definition-text.ts';
import { countText, numberText, plainNumberText, shareText } from '../../../format/number-text.ts';
import { durationText } from '../../../format/time-text.ts';
import { measureTick } from '../burden-charts.ts';
import { figureText, monthText, rateText, ratioText } from '../cohort-words.ts';

/** Returns a measure in words; `longerThanS` where it speaks of long losses. */
export function measureName(measure: ChartMeasure, lossOf: QualityDefinition['lossOf'], longerThanS: number): string {
  const loss = lossOf === 'dropouts' ? 'dropout' : 'blind interval';
  const long = `a ${loss} longer than ${durationText(longerThanS * 1000)}`;
  switch (measure) {
    case 'cases with a long loss':
      return `Share of cases with ${long}`;
    case 'losses per hour':
      return `${lossOf === 'dropouts' ? 'Dropouts' : 'Blind intervals'} per monitored hour`;
    case 'share of time lost':
      return lossOf === 'dropouts' ? 'Share of monitored time lost' : 'Share of monitored time in which no site informed';
    case 'median duration':
      return `Median length of a ${loss}`;
    case 'cases between long losses':
      return `Cases between two with ${long}`;
    case 'days between long losses':
      return `Days between two cases with ${long}`;
  }
}

/** Returns a value of a measure in words. */
export function measureValueText(measure: ChartMeasure): (value: number) => string {
  switch (measure) {
    case 'cases with a long loss':
    case 'share of time lost':
      return shareText;
    case 'losses per hour':
      return rateText;
    case 'median duration':
      return (value) => durationText(value * 1000);
    case 'cases between long losses':
      return (value) => plainNumberText(value, 1);
    case 'days between long losses':
      return (value) => plainNumberText(value, 1);
  }
}

/** Returns how an axis names a value of a measure. */
export function measureTickText(measure: ChartMeasure): (value: number) => string {
  switch (measure) {
    case 'cases with a long loss':
    case 'share of time lost':
      return measureTick('share');
    case 'losses per hour':
      return measureTick('per hour');
    default:
      return measureValueText(measure);
  }
}

export const KIND_NAMES: Readonly<Record<ChartKind, string>> = {
  'line': 'points without a rule', 'run': 'run chart', 'p': 'p chart', 'p prime': 'p′ chart (Laney)', 'u': 'u chart', 'u prime': 'u′ chart (Laney)', 'xmr': 'XmR chart', 'g': 'g chart', 't': 't chart',
};

const CHOICE_REASON_TEXTS: Readonly<Record<ChoiceReason, string>> = {
  'fewer than 10 points': 'there are fewer than 10 points, too few for any rule',
  '10 to 19 points': 'with 10 to 19 points runs can be judged, limits not yet',
  'shares of cases': 'a point is a share of cases',
  'shares that scatter more than chance': 'the shares scatter more than chance alone would make them',
  'shares of very many cases': 'points of very many cases make ordinary limits too narrow',
  'counts in time': 'a point counts events in monitored time',
  'counts that scatter more than chance': 'the counts scatter more than chance alone would make them',
  'counts in very many hours': 'points of very many monitored hours make ordinary limits too narrow',
  'time is not counted in cases': 'seconds are not cases that chance draws: each value stands for itself',
  'rare events': 'the events are rare',
  'chosen by a person': 'a person chose it',
};

/** Returns why a chart is of its kind, with the figures that decided. */
export function choiceText(choice: ChartChoice): string {
  const figures = [
    `${countText(choice.points, 'point', 'points')} with a value`,
    ...(choice.sigmaZ === null ? [] : [`σz ${numberText(choice.sigmaZ, 2)}`]),
    ...(choice.expectedPerPoint === null ? [] : [`${numberText(choice.expectedPerPoint, 1)} events to expect in a point`]),
  ];
  const rare = choice.isRare ? ' Fewer than one event is to be expected in a point: cases or days between events would tell more.' : '';
  return `${capital(KIND_NAMES[choice.kind])}, because ${CHOICE_REASON_TEXTS[choice.reason]} (${figures.join('; ')}).${rare}`;
}

/** Returns a phrase as the beginning of a sentence; names of one letter stay as they are. */
function capital(phrase: string): string {
  return /^.[ ′]/.test(phrase) ? phrase : `${phrase.slice(0, 1).toUpperCase()}${phrase.slice(1)}`;
}

/** Returns a point's own name: its month, or its days. */
export function pointName(label: string): string {
  return monthText(label);
}

const SIGNAL_TEXTS: Readonly<Record<string, string>> = { 'beyond the limits': 'beyond the limits', 'in a long run': 'in a long run on one side' };
const PATTERN_TEXTS: Readonly<Record<string, string>> = {
  'pattern 1': 'beyond the limits', 'pattern 2': 'nine on one side', 'pattern 3': 'six steadily up or down', 'pattern 4': 'fourteen up and down in turn', 'pattern 5': 'two of three far out', 'pattern 6': 'four of five well out', 'pattern 7': 'fifteen close to the centre', 'pattern 8': 'eight away from the centre on both sides',
};

/** Returns what a point signals; null for nothing. */
export function signalText(signals: readonly PointSignal[]): string | null {
  return signals.length === 0 ? null : signals.map((signal) => SIGNAL_TEXTS[signal] ?? PATTERN_TEXTS[signal] ?? signal).join(', ');
}

/** Returns the figures of a point in words: "3.1 % (2 of 64 cases)". */
export function pointFigureText(point: PointFigures, measure: ChartMeasure): string {
  if (point.value === null) return point.cases === 0 ? 'no case' : `no value, ${countText(point.cases, 'case', 'cases')}`;
  const value = measureValueText(measure)(point.value);
  switch (measure) {
    case 'cases with a long loss':
      return `${value} (${numberText(point.numerator)} of ${countText(point.cases, 'case', 'cases')})`;
    case 'losses per hour':
      return `${value} (${numberText(point.numerator)} in ${numberText(point.denominator, 1)} h, ${countText(point.cases, 'case', 'cases')})`;
    default:
      return `${value} (${countText(point.cases, 'case', 'cases')})`;
  }
}

/** Returns the definition of a chart as phrases, none of which can be changed once points are kept. */
export function definitionPhrases(definition: QualityDefinition): string[] {
  return [
    measureName(definition.measure, definition.lossOf, definition.longerThanS),
    ...(definition.dropouts === 'confirmed' ? ['dropouts that readers confirmed, in cases of which every dropout was read'] : []),
    definition.doubtfulLost ? 'doubtful values counted as lost' : 'doubtful values counted as information',
    definition.sites === null ? 'every site' : `sensors at: ${definition.sites.join(', ')}`,
    ...definition.choice.map((one) => `only cases with ${one.column}: ${one.values.join(', ')}`),
    ...(definition.measure.includes('between') ? [] : [definition.grouping.by === 'month' ? 'by calendar month' : `by ${numberText(definition.grouping.size)} cases in order of time`]),
    `set ${shortDefinitionText(definition.parameters)}`,
  ];
}

/** Returns whether the chart shows a signal or what chance makes: the answer in a sentence or two. */
export function verdictText({ points, runs }: Pick<QualityChartView, 'points' | 'runs'>): string {
  const complete = points.filter((point) => point.state !== 'open' && point.value !== null);
  if (complete.length === 0) return points.some((point) => point.value !== null) ? 'Every point with a value is still open: its month, or its group of cases, is not over. Nothing can be judged yet.' : 'No point has a value yet.';
  const parts = [
    ...countedParts(complete.filter((point) => point.signals.includes('beyond the limits')).length, 'point lies', 'points lie', 'beyond the limits'),
    ...runs.flatMap((run) => runParts(run, points)),
    ...countedParts(complete.filter((point) => point.signals.some((signal) => signal.startsWith('pattern'))).length, 'point completes', 'points complete', 'a pattern that is looked for'),
  ];
  if (parts.length > 0) return `Signal: ${parts.join('; ')}. Something other than chance is likely at work; the chart does not say what.`;
  const hasLimits = points.some((point) => point.upper !== null);
  const isJudged = runs.some((run) => run.isJudged);
  if (!hasLimits && !isJudged) return `Neither signal nor noise can be told yet: ${countText(complete.length, 'point', 'points')}, and rules begin at 10 points off the line.`;
  return `No signal: ${countText(complete.length, 'point varies', 'points vary')} as chance alone would make them. That is no proof that nothing changed.`;
}

function countedParts(count: number, one: string, many: string, rest: string): string[] {
  return count === 0 ? [] : [`${countText(count, one, many)} ${rest}`];
}

function runParts(run: ChartRuns, points: QualityChartView['points']): string[] {
  const nameOf = (index: number): string => pointName(points[index]?.label ?? `point ${index + 1}`);
  const where = `${nameOf(run.firstPoint)} to ${nameOf(run.lastPoint)}`;
  return [
    ...(run.isLongRun ? [`${numberText(run.longestRun)} in a row on one side (${where}; ${numberText(run.longestRunLimit)} are to be expected at most)`] : []),
    ...(run.isFewCrossings ? [`the line is ${run.crossings === 0 ? 'never crossed' : `crossed ${run.crossings === 1 ? 'once' : `${numberText(run.crossings)} times`}`} (${where}; ${numberText(run.crossingsLimit)} are to be expected at least)`] : []),
  ];
}

function sideText(side: ChangeSide, textOf: (value: number) => string): string {
  if (side.estimate === null) return `nothing to give: ${side.reason ?? 'no case'}`;
  return `${figureText(side.estimate, side, textOf)}, ${countText(side.cases, 'case', 'cases')}`;
}

/** Returns a side of a change and the effect in words. */
export function effectTexts(effect: ChangeEffect, conf: number): { readonly before: string; readonly after: string; readonly effect: string } {
  const textOf = effect.compared === 'per hour' ? rateText : effect.compared === 'median seconds' ? (value: number) => durationText(value * 1000) : shareText;
  const { estimate, lower, upper, reason, kind } = effect.effect;
  const own = kind === 'ratio' ? (value: number) => ratioText(value) : (value: number) => `${value > 0 ? '+' : ''}${durationText(value * 1000)}`;
  return {
    before: sideText(effect.before, textOf),
    after: sideText(effect.after, textOf),
    effect: estimate === null
      ? `not defined: ${reason ?? 'one side is missing'}`
      : `${kind === 'ratio' ? 'after ÷ before' : 'after − before'} ${own(estimate)}${lower === null || upper === null ? ` (no interval${reason === null ? '' : `: ${reason}`})` : ` (${numberText(conf * 100)} % interval ${own(lower)} to ${own(upper)})`}`,
  };
}

/** Returns what no point holds, as phrases; none for nothing. */
export function leftOutPhrases(leftOut: ChartLeftOut): string[] {
  return [
    [leftOut.undated, 'without a date'], [leftOut.notUsable, 'without SpO2 or a monitored sensor of the definition'], [leftOut.notChosen, 'not of the chosen values'], [leftOut.notReviewed, 'with a dropout that waits to be read'], [leftOut.beforeFirst, 'earlier than the first kept point'],
  ].flatMap(([count, why]) => (typeof count === 'number' && count > 0 ? [`${countText(count, 'case', 'cases')} ${String(why)}`] : []));
}
