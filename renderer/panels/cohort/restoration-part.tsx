import { useCallback, useMemo, useState, type JSX } from 'react';
import { LENGTH_BOUNDS, type LengthBound, type RestorationCurve, type RestorationGroup, type RestorationTimes } from '../../../core/model/cohort-restoration.ts';
import { ChartFigure } from '../../charts/chart-figure.tsx';
import { numberCell, textCell, type ChartTable, type DrawChart, type SeriesLook } from '../../charts/chart-types.ts';
import { survivalChart, type SurvivalCurve } from '../../charts/survival-chart.ts';
import { countText, numberText, shareText } from '../../format/number-text.ts';
import { durationText } from '../../format/time-text.ts';
import { ChoiceRow } from '../../widgets/field.tsx';
import { siteText } from '../case-view/case-facts.ts';
import { plainCautionTexts } from './caution-words.ts';
import { probabilityText, sentenceStart } from './cohort-words.ts';
import { otherLook, placeLooks } from './place-look.ts';
import type { OpenPoint, PointCase } from './point-cases.tsx';

export interface RestorationPartProps {
  readonly restoration: RestorationTimes;
  readonly by: 'site' | 'what was done';
  readonly definition: string;
  /** The cases behind a group, where they are known. */
  readonly casesOf: (group: RestorationGroup) => readonly PointCase[];
  readonly onPoint: (point: OpenPoint) => void;
}

const BOUND_NAMES: Readonly<Record<LengthBound, string>> = { low: 'shortest that can be', mid: 'middle', high: 'longest that can be' };

/** Returns what a group is called. */
export function groupName(group: Pick<RestorationGroup, 'kind' | 'of'>): string {
  switch (group.kind) {
    case 'all':
      return 'all sites';
    case 'site':
      return siteText(group.of);
    case 'after what was done':
      return `after ${group.of}`;
    case 'nothing on record':
      return 'nothing done, on record';
  }
}

const keyOf = (group: Pick<RestorationGroup, 'kind' | 'of'>): string => `${group.kind}\n${group.of}`;

/** Returns the median of a curve in words: "40 s (30 s to 1 min)", or that it is not reached. */
export function medianText({ median }: Pick<RestorationCurve, 'median'>): string {
  if (median.estimateMs === null) return 'not reached: fewer than half came back while they were followed';
  const limits = median.lowerMs === null && median.upperMs === null ? '' : ` (${median.lowerMs === null ? 'no limit' : durationText(median.lowerMs)} to ${median.upperMs === null ? 'no limit' : durationText(median.upperMs)})`;
  return `${durationText(median.estimateMs)}${limits}`;
}

/** Returns a group in a sentence. */
export function restorationSentence(group: RestorationGroup, limitMs: number): string {
  const name = sentenceStart(groupName(group));
  if (group.losses === 0) return `${name}: no dropout.`;
  const curve = group.curves.find((one) => one.bound === 'mid');
  const mean = curve?.mean.estimateMs ?? null;
  return `${name}: ${numberText(group.restored)} of ${countText(group.losses, 'dropout', 'dropouts')} in ${countText(group.cases, 'case', 'cases')} came back at the same sensor; median time to information ${curve === undefined ? '–' : medianText(curve)}${mean === null ? '' : `, mean ${durationText(mean)} where none counts for more than ${durationText(limitMs)}`}.`;
}

/** Returns the curves as they are drawn. */
export function survivalCurves(groups: readonly RestorationGroup[], bound: LengthBound, looks: ReadonlyMap<string, SeriesLook>): SurvivalCurve[] {
  return groups.flatMap((group, i) => {
    const curve = group.curves.find((one) => one.bound === bound);
    if (curve === undefined || group.losses === 0) return [];
    return [{
      key: keyOf(group),
      label: groupName(group),
      look: looks.get(group.of) ?? otherLook(i),
      steps: curve.steps.map((step) => ({ at: step.atMs, share: step.share, lower: step.lower, upper: step.upper })),
      censoredAt: [],
      median: curve.median.estimateMs,
      followedTo: curve.lastMs ?? 0,
      figure: `median ${medianText(curve)}, ${numberText(group.restored)} of ${countText(group.losses, 'dropout', 'dropouts')} restored, ${countText(group.cases, 'case', 'cases')}`,
    }];
  });
}

/** Steps that people count time by, s. */
const STEPS_S = [1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200];

/** Returns times from 0 to `mostMs` at a step that people count by, no more than about `count` of them. */
export function timeTicks(mostMs: number, count: number): number[] {
  const stepMs = (STEPS_S.find((step) => mostMs / (step * 1000) <= count) ?? 14_400) * 1000;
  return Array.from({ length: Math.floor(mostMs / stepMs) + 1 }, (_, i) => i * stepMs);
}

/** Most of the time axis: twice the longest time at which a share is given, at most; the rest stands in the table. */
function mostShown(curves: readonly SurvivalCurve[], limitMs: number): number {
  const last = Math.max(0, ...curves.map((curve) => curve.followedTo));
  return last > 0 ? Math.min(last, 2 * limitMs) : limitMs;
}

/** Returns how long it took until the same sensor informed again. */
export function RestorationPart({ restoration, by, definition, casesOf, onPoint }: RestorationPartProps): JSX.Element {
  const [bound, setBound] = useState<LengthBound>('mid');
  const groups = useMemo(() => restoration.groups.filter((group) => (by === 'site' ? group.kind === 'site' || group.kind === 'all' : group.kind === 'after what was done' || group.kind === 'nothing on record')), [restoration, by]);
  const curves = useMemo(() => survivalCurves(groups.filter((group) => group.kind !== 'all' || groups.length === 1), bound, placeLooks(groups.map((group) => group.of))), [groups, bound]);
  const draw = useCallback<DrawChart>((width) => {
    const most = mostShown(curves, restoration.limitMs);
    return survivalChart(curves, { xLabel: 'Time since the onset', yLabel: 'Not yet restored at the same sensor', tickText: durationText, ticks: timeTicks(most, Math.max(3, Math.floor(width / 110))), mostShown: most }, width);
  }, [curves, restoration.limitMs]);
  const shown = groups.filter((group) => group.losses > 0);
  const cautions = plainCautionTexts([...restoration.cautions, ...shown.flatMap((group) => group.cautions)]);
  const coarse = shown.flatMap((group) => (group.between?.median === null || group.between === null ? [] : [`${groupName(group)}: between limits, the median lies from ${durationText(group.between.median.fromMs)} to ${durationText(group.between.median.toMs)}`]));
  return (
    <>
      <div className="cohort-controls">
        <ChoiceRow
          legend="Length of a loss" value={bound} choices={LENGTH_BOUNDS.map((name) => ({ value: name, label: BOUND_NAMES[name] }))}
          onChange={(value) => setBound(LENGTH_BOUNDS.find((name) => name === value) ?? 'mid')}
        />
      </div>
      <ChartFigure
        figure="time-to-information"
        title={by === 'site' ? 'Time to restored information, by site' : 'Time to restored information, by what was done'} fileName={by === 'site' ? 'restoration-by-site' : 'restoration-by-what-was-done'} draw={draw} table={restorationTable(groups)}
        description="The share of dropouts that had not yet come back at the same sensor, from the onset on. Dropouts that ended elsewhere or never count as longer than they were followed."
        notes={[`Definition: ${definition}.`, ...cautions]}
        details={[
          `${numberText(restoration.conf * 100)} % bands: Kaplan–Meier with the case as the cluster, log minus log.`,
          ...(coarse.length === 0 ? [] : [`${coarse.join('; ')}.`]),
          ...(by === 'site' && restoration.sites !== null ? [`All sites, log-rank within cases: p ${probabilityText(restoration.sites.p)} (${countText(restoration.sites.informativeCases, 'case says', 'cases say')} anything)${restoration.sites.reason === null ? '' : `; not defined: ${restoration.sites.reason}`}.`] : []),
          ...(by === 'site' ? restoration.differences.map(differenceText) : []),
        ]}
        pointLeadsTo="lists its cases"
        onPoint={(key) => {
          const group = groups.find((one) => keyOf(one) === key);
          if (group !== undefined) onPoint({ title: `Dropouts, ${groupName(group)}`, cases: casesOf(group) });
        }}
        nothing={curves.length === 0 ? <p>{by === 'site' ? 'No dropout: there is nothing to wait for.' : 'Nothing is on record as done during a dropout, and no dropout without.'}</p> : undefined}
      />
    </>
  );
}

function differenceText(difference: RestorationTimes['differences'][number]): string {
  const [first, second] = [siteText(difference.firstKey), siteText(difference.secondKey)];
  const { mean, logRank } = difference;
  const means = mean.estimateMs === null ? `no difference of means: ${mean.reason ?? 'not defined'}` : `mean ${durationText(mean.estimateMs)} (${mean.lowerMs === null ? 'no limit' : durationText(mean.lowerMs)} to ${mean.upperMs === null ? 'no limit' : durationText(mean.upperMs)})`;
  return `${first} less ${second}: ${means}; log-rank within cases p ${probabilityText(logRank.p)}${difference.pHolm === null ? '' : `, after Holm ${probabilityText(difference.pHolm)}`}, ${countText(difference.casesWithBoth, 'case', 'cases')} with losses at both.`;
}

function restorationTable(groups: readonly RestorationGroup[]): ChartTable {
  const ms = (value: number | null): number | null => (value === null ? null : value / 1000);
  const time = (value: number): string => durationText(value * 1000);
  const rows = groups.flatMap((group) =>
    group.curves.flatMap((curve) => [
      {
        pointKey: keyOf(group),
        cells: [
          textCell(groupName(group)), textCell(curve.bound), textCell('median'), numberCell(null, time), numberCell(ms(curve.median.estimateMs), time), numberCell(ms(curve.median.lowerMs), time), numberCell(ms(curve.median.upperMs), time),
          numberCell(group.losses, numberText), numberCell(group.restored, numberText), numberCell(group.cases, numberText),
        ],
      },
      ...curve.atTimes.map((at) => ({
        pointKey: null,
        cells: [
          textCell(groupName(group)), textCell(curve.bound), textCell('share not yet restored'), numberCell(at.atMs / 1000, time), numberCell(at.share, shareText), numberCell(at.lower, shareText), numberCell(at.upper, shareText),
          numberCell(at.atRisk, numberText), numberCell(null, numberText), numberCell(null, numberText),
        ],
      })),
    ]),
  );
  const boxes = groups.flatMap((group) => (group.between?.boxes ?? []).map((box) => ({
    pointKey: null,
    cells: [textCell(groupName(group)), textCell('between limits'), textCell('share that ended between'), numberCell(box.fromMs / 1000, time), numberCell(box.share, shareText), numberCell(box.fromMs / 1000, time), box.toMs === null ? textCell('never, as far as the record goes') : numberCell(box.toMs / 1000, time), numberCell(null, numberText), numberCell(null, numberText), numberCell(null, numberText)],
  })));
  return {
    columns: [
      { header: 'Group', name: 'group' }, { header: 'Lengths', name: 'lengths' }, { header: 'Figure', name: 'figure' }, { header: 'At', name: 'at_s', align: 'right' }, { header: 'Value', name: 'value', align: 'right' },
      { header: 'from', name: 'from', align: 'right' }, { header: 'to', name: 'to', align: 'right' }, { header: 'Losses at risk', name: 'losses', align: 'right' }, { header: 'Restored', name: 'restored', align: 'right' }, { header: 'Cases', name: 'cases', align: 'right' },
    ],
    rows: [...rows, ...boxes],
  };
}
