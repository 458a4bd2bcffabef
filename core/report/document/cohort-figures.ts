import type { BurdenRow } from '../../model/cohort-burden.ts';
import { WHOLE_CASE } from '../../model/cohort-burden.ts';
import type { ExposureRate } from '../../model/cohort-before-loss.ts';
import type { QualityChartView } from '../../model/quality-chart.ts';
import type { Point, ReportFigure, Shape } from '../../model/report-document.ts';
import { numberText, shareText } from '../../base/number-text.ts';
import type { PatternCounts } from '../../model/onset-pattern-counts.ts';
import { FIGURE_WIDTH } from './case-figure.ts';
import { chartValueWords, cohortPlaceWords, measureWords, patternsWords, ratioFigureWords, shareRangeWords, signalWords } from './department-words.ts';
import { box, label, plotScale, roundSteps, rounded, stroke } from './plot-frame.ts';

const LEFT = 128;
const RIGHT = 12;
const ROW = 15;

/** Returns the share of time lost by place: the estimate, what the recording intervals leave open, and the interval over cases. */
export function shareFigure(rows: readonly BurdenRow[], conf: number): ReportFigure {
  const shown = rows.filter(({ primary }) => primary.share !== null);
  const highest = Math.max(0.001, ...shown.map(({ primary }) => primary.share?.high ?? 0));
  // One interval from two cases must not press all others together: what is wider is cut.
  const most = Math.max(highest, ...shown.map(({ primary }) => Math.min(2.5 * highest, primary.shareInterval.upper ?? 0)));
  const height = shown.length * ROW + 20;
  const x = plotScale(0, most * 1.02, LEFT, FIGURE_WIDTH - RIGHT);
  const shapes: Shape[] = [];
  for (const step of roundSteps(0, most, 6)) {
    shapes.push(stroke([x.at(step), 2], [x.at(step), height - 14], 'faint', 0.5), label(x.at(step), height - 5, shareText(step), { align: 'middle', size: 6.5 }));
  }
  for (const [i, { place, primary }] of shown.entries()) {
    const y = 10 + i * ROW;
    shapes.push(label(LEFT - 6, y + 2.4, cohortPlaceWords(place), { align: 'end', ink: 'ink' }));
    if (primary.share === null) continue;
    const { lower, upper } = primary.shareInterval;
    if (lower !== null && upper !== null) {
      shapes.push(stroke([x.at(lower), y], [x.at(Math.min(upper, x.to)), y], 'ink', 0.9), stroke([x.at(lower), y - 2.5], [x.at(lower), y + 2.5], 'ink', 0.9));
      if (upper <= x.to) shapes.push(stroke([x.at(upper), y - 2.5], [x.at(upper), y + 2.5], 'ink', 0.9));
    }
    shapes.push(box(x.at(primary.share.low), y - 3, x.at(primary.share.high) - x.at(primary.share.low), 6, 'loss'));
    shapes.push({ kind: 'mark', form: place === WHOLE_CASE ? 'square' : 'circle', x: x.at(primary.share.mid), y, size: 5, ink: 'ink' });
  }
  return {
    caption: `Share of monitored time lost. Mark: estimate; box: what the recording intervals leave open; line: ${rounded(conf * 100)} % interval from case to case; a line without an end goes on.`,
    alternative: `Share of monitored time lost by place. ${shown.map(({ place, primary }) => `${cohortPlaceWords(place)} ${shareRangeWords(primary.share)}`).join('; ')}. The figures stand in the table.`,
    scene: { width: FIGURE_WIDTH, height, shapes },
  };
}

/** Returns ratios of rates of loss on a scale of logarithms, each with its interval. */
export function ratioFigure(rates: readonly { readonly name: string; readonly rate: ExposureRate }[], conf: number): ReportFigure {
  const defined = rates.flatMap(({ rate: { figure } }) => [figure.ratio, figure.lower, figure.upper].filter((value): value is number => value !== null && value > 0 && Number.isFinite(value)));
  const low = Math.max(0.05, Math.min(0.5, ...defined));
  const high = Math.min(100, Math.max(2, ...defined));
  const height = rates.length * ROW + 20;
  const x = plotScale(Math.log2(low), Math.log2(high), LEFT, FIGURE_WIDTH - RIGHT);
  const at = (value: number): number => x.at(Math.min(x.to, Math.max(x.from, Math.log2(value))));
  const shapes: Shape[] = [];
  for (let power = Math.ceil(x.from); power <= x.to; power++) {
    shapes.push(stroke([x.at(power), 2], [x.at(power), height - 14], power === 0 ? 'rule' : 'faint', power === 0 ? 0.9 : 0.5), label(x.at(power), height - 5, String(2 ** power), { align: 'middle', size: 6.5 }));
  }
  for (const [i, { name, rate: { figure } }] of rates.entries()) {
    const y = 10 + i * ROW;
    shapes.push(label(LEFT - 6, y + 2.4, name, { align: 'end', ink: 'ink' }));
    const limit = (value: number | null): number => (value === null ? Infinity : value <= 0 ? -Infinity : Math.log2(value));
    if (figure.lower !== null) {
      const [from, to] = [limit(figure.lower), limit(figure.upper)];
      shapes.push(stroke([x.at(Math.max(x.from, from)), y], [x.at(Math.min(x.to, to)), y], 'ink', 0.9));
      for (const end of [from, to]) if (end >= x.from && end <= x.to) shapes.push(stroke([x.at(end), y - 2.5], [x.at(end), y + 2.5], 'ink', 0.9));
    }
    if (figure.ratio !== null && figure.ratio > 0) shapes.push({ kind: 'mark', form: 'square', x: at(figure.ratio), y, size: 5, ink: 'ink' });
  }
  return {
    caption: `Rate of loss after an exposure over the rate in control time of the same cases, with ${rounded(conf * 100)} % intervals; scale of logarithms; a line without an end goes on. To the right of 1: more losses after it.`,
    alternative: `Rate ratios. ${rates.map(({ name, rate }) => `${name}: ${ratioFigureWords(rate.figure)}`).join('; ')}. The figures stand in the table.`,
    scene: { width: FIGURE_WIDTH, height, shapes },
  };
}

/** Room for the combination of patterns, pt. */
const PATTERN_LEFT = 176;

/** Returns losses by the onset patterns that hold for them, most first: bars for their share, a line for the shares added up. */
export function patternFigure({ rows, losses }: PatternCounts): ReportFigure {
  const height = rows.length * ROW + 20;
  const x = plotScale(0, 1, PATTERN_LEFT, FIGURE_WIDTH - RIGHT - 18);
  const shapes: Shape[] = [];
  for (const step of [0, 0.2, 0.4, 0.6, 0.8, 1]) shapes.push(stroke([x.at(step), 2], [x.at(step), height - 14], 'faint', 0.5), label(x.at(step), height - 5, `${Math.round(100 * step)} %`, { align: 'middle', size: 6.5 }));
  const added: Point[] = [];
  let sum = 0;
  for (const [i, { patterns, losses: own }] of rows.entries()) {
    const y = 10 + i * ROW;
    sum += own;
    shapes.push(label(PATTERN_LEFT - 6, y + 2.4, patternsWords(patterns), { align: 'end', ink: 'ink', size: 6.5 }), box(x.at(0), y - 4, x.at(own / losses) - x.at(0), 8, 'finger'));
    added.push([x.at(sum / losses), rounded(y)]);
  }
  if (added.length > 1) shapes.push({ kind: 'line', points: added, ink: 'ink', width: 0.9 });
  for (const [at, y] of added) shapes.push({ kind: 'mark', form: 'circle', x: at, y, size: 3.6, ink: 'ink', isHollow: true });
  return {
    caption: 'Losses by the onset patterns that hold for them, most first. Bar: their share of all losses; line with circles: the shares added up from the top. Each loss counts once. A pattern is evidence for a reviewer, not a verdict.',
    alternative: `Losses by onset patterns, most first. ${rows.map(({ patterns, losses: own }) => `${patternsWords(patterns)}: ${numberText(own)} (${shareText(own / losses)})`).join('; ')}. The figures stand in the table.`,
    scene: { width: FIGURE_WIDTH, height, shapes },
  };
}

const CHART_LEFT = 46;
const CHART_HEIGHT = 120;

/** Returns a quality chart: points in order of time, the centre line, limits, and every point that stands out by shape and words. */
export function chartFigure(view: QualityChartView): ReportFigure {
  const { points, chart } = view;
  const { measure } = chart.definition;
  const values = points.flatMap(({ value, upper, lower, centre }) => [value, upper, lower, centre].filter((one): one is number => one !== null && Number.isFinite(one)));
  const top = Math.max(...values, 0) * 1.06 || 1;
  const bottom = Math.min(0, ...values);
  const floor = CHART_HEIGHT - 14;
  const y = plotScale(bottom, top, floor, 6);
  const x = plotScale(0, Math.max(1, points.length - 1), CHART_LEFT + 10, FIGURE_WIDTH - RIGHT - 6);
  const right = FIGURE_WIDTH - RIGHT;
  const shapes: Shape[] = [];
  for (const step of roundSteps(bottom, top, 4)) shapes.push(stroke([CHART_LEFT, y.at(step)], [right, y.at(step)], 'faint', 0.5), label(CHART_LEFT - 4, y.at(step) + 2.3, chartValueWords(measure, step), { align: 'end', size: 6.5 }));
  shapes.push(stroke([CHART_LEFT, floor], [right, floor], 'rule', 0.5));
  for (const change of chart.changes) {
    // A change falls between the last point that ended before it and the next one.
    const next = points.findIndex(({ lastDate }) => lastDate >= change.date);
    if (next < 0) continue;
    const at = x.at(next - ((points[next]?.firstDate ?? '') >= change.date ? 0.5 : 0));
    shapes.push(stroke([at, 4], [at, floor], 'finger', 0.9, [3, 2]), label(at + 2, 9, change.text.length > 40 ? `${change.text.slice(0, 39)}…` : change.text, { size: 6, ink: 'finger' }));
  }
  const half = (x.at(1) - x.at(0)) / 2;
  for (const [i, { centre, upper, lower }] of points.entries()) {
    for (const [value, ink, dash] of [[centre, 'ink', undefined], [upper, 'loss', [3, 2]], [lower, 'loss', [3, 2]]] as const) {
      if (value !== null && Number.isFinite(value)) shapes.push(stroke([x.at(i) - half, y.at(value)], [x.at(i) + half, y.at(value)], ink, 0.7, dash));
    }
  }
  let run: Point[] = [];
  const end = (): void => {
    if (run.length > 1) shapes.push({ kind: 'line', points: run, ink: 'soft', width: 0.8 });
    run = [];
  };
  for (const [i, { value }] of points.entries()) {
    if (value === null) end();
    else run.push([x.at(i), y.at(value)]);
  }
  end();
  for (const [i, point] of points.entries()) {
    if (point.value === null) continue;
    const stands = point.signals.length > 0;
    shapes.push({ kind: 'mark', form: stands ? 'diamond' : 'circle', x: x.at(i), y: y.at(point.value), size: stands ? 6.5 : 4, ink: stands ? 'loss' : 'ink', isHollow: point.state === 'open' });
  }
  const every = Math.max(1, Math.ceil(points.length / 9));
  for (const [i, { label: name }] of points.entries()) if (i % every === 0) shapes.push(label(x.at(i), floor + 10, name, { align: 'middle', size: 6.5 }));
  const standing = points.filter(({ signals }) => signals.length > 0);
  return {
    caption: `${measureWords(chart.definition)}. Line: centre; dashes: limits; diamonds: points that stand out; hollow: not over.`,
    alternative: `${measureWords(chart.definition)}, ${points.length} points from ${points[0]?.label ?? ''} to ${points[points.length - 1]?.label ?? ''}. ${standing.length === 0 ? 'No point stands out.' : standing.map((point) => `${point.label}: ${signalWords(point)}`).join('; ')} The figures stand in the table.`,
    scene: { width: FIGURE_WIDTH, height: CHART_HEIGHT, shapes },
  };
}
