import { axisX, axisY, dot, gridY, line, ruleY, text, type Markish } from '@observablehq/plot';
import { hitDots, INK, spread, textRoomPx } from './chart-marks.ts';
import type { ChartDrawing } from './chart-types.ts';

/** One group of a funnel. `label` is not a name where the group has too few cases to be named. */
export interface FunnelGroup {
  readonly key: string;
  readonly label: string;
  readonly size: number;
  readonly value: number;
  /** Beyond which limits it lies. */
  readonly beyond: 'none' | 'inner' | 'outer';
  readonly figure: string;
}

/** The limits at one size. */
export interface FunnelLimit {
  readonly size: number;
  readonly innerLow: number;
  readonly innerHigh: number;
  readonly outerLow: number;
  readonly outerHigh: number;
}

export interface FunnelOptions {
  readonly xLabel: string;
  readonly yLabel: string;
  readonly xTickText: (value: number) => string;
  readonly yTickText: (value: number) => string;
  readonly centre: number;
  readonly centreName: string;
  readonly innerName: string;
  readonly outerName: string;
  /** Highest value that there can be. */
  readonly yMost: number;
}

/** Height of the plot itself, px. */
const PLOT_PX = 268;
/** Between two labels, as a share of the height. */
const LABEL_GAP = 0.062;

/** Returns groups by their size, with the limits within which chance alone would leave them. No order of groups is shown. */
export function funnelChart(groups: readonly FunnelGroup[], limits: readonly FunnelLimit[], options: FunnelOptions, widthPx: number): ChartDrawing {
  const mostSize = Math.max(0, ...groups.map((group) => group.size), ...limits.map((limit) => limit.size));
  const mostValue = Math.max(options.centre, ...groups.map((group) => group.value));
  const yTop = Math.min(options.yMost, Math.max(mostValue * 1.15, options.centre * 3));
  const shown = limits.map((limit) => ({ ...limit, outerHigh: Math.min(limit.outerHigh, yTop), innerHigh: Math.min(limit.innerHigh, yTop) }));
  const limitLine = (key: 'innerLow' | 'innerHigh' | 'outerLow' | 'outerHigh'): Markish =>
    line(shown, { x: 'size', y: key, stroke: INK.soft, strokeWidth: key.startsWith('outer') ? 1.2 : 1, strokeDasharray: key.startsWith('outer') ? '6 3' : '2 2' });
  const last = shown.at(-1);
  const rightLabels = last === undefined ? [] : spread([{ y: last.innerHigh, words: options.innerName }, { y: last.outerHigh, words: options.outerName }, { y: options.centre, words: options.centreName }], yTop * LABEL_GAP, yTop);
  const rightRoom = Math.max(30, ...rightLabels.map(({ words }) => textRoomPx(words) + 10));
  const xPx = (widthPx - 80 - rightRoom) / (mostSize > 0 ? mostSize : 1);
  const named = namesThatFit(groups, (group) => group.size * xPx, (group) => (group.value / (yTop > 0 ? yTop : 1)) * PLOT_PX);
  const marks: Markish[] = [
    gridY({ stroke: INK.line, strokeOpacity: 1, ticks: 6 }),
    ruleY([options.centre], { stroke: INK.soft, strokeWidth: 1.4 }),
    limitLine('innerLow'), limitLine('innerHigh'), limitLine('outerLow'), limitLine('outerHigh'),
    dot(groups.filter((group) => group.beyond === 'none'), { x: 'size', y: 'value', r: 4.5, fill: INK.accent, stroke: INK.panel, strokeWidth: 1 }),
    dot(groups.filter((group) => group.beyond === 'inner'), { x: 'size', y: 'value', r: 5, symbol: 'triangle', fill: INK.accent, stroke: INK.panel, strokeWidth: 1 }),
    dot(groups.filter((group) => group.beyond === 'outer'), { x: 'size', y: 'value', r: 6.5, symbol: 'diamond', fill: INK.signal, stroke: INK.panel, strokeWidth: 1 }),
    text(named, { x: 'size', y: 'value', dx: 10, textAnchor: 'start', text: 'label', fill: INK.text, stroke: INK.panel, strokeWidth: 3 }),
    ...rightLabels.map(({ y, words }) => text([y], { x: () => mostSize * 1.04, y: (at: number) => at, dx: 4, textAnchor: 'start', text: () => words, fill: INK.soft })),
    axisX({ tickFormat: (value: number) => options.xTickText(value), label: options.xLabel, labelAnchor: 'center', labelArrow: 'none', labelOffset: 36, tickSize: 4 }),
    axisY({ tickFormat: (value: number) => options.yTickText(value), label: options.yLabel, labelAnchor: 'top', labelArrow: 'none', ticks: 6, tickSize: 0, tickPadding: 6 }),
    hitDots(groups.map((group) => ({ x: group.size, y: group.value }))),
  ];
  return {
    options: {
      width: widthPx, height: 340, marginLeft: Math.max(52, textRoomPx(options.yTickText(yTop)) + 16), marginRight: rightRoom, marginTop: 30, marginBottom: 42,
      x: { type: 'linear', domain: [0, mostSize > 0 ? mostSize * 1.04 : 1] }, y: { type: 'linear', domain: [0, yTop > 0 ? yTop : 1] }, marks,
    },
    points: groups.map((group) => ({ key: group.key, label: `${group.label}: ${group.figure}` })),
  };
}

/** Returns the groups whose names have room beside their marks, those outside the limits first; the others are named when they are pointed at, and in the table. */
export function namesThatFit(groups: readonly FunnelGroup[], xOf: (group: FunnelGroup) => number, yOf: (group: FunnelGroup) => number): FunnelGroup[] {
  const order: readonly FunnelGroup['beyond'][] = ['outer', 'inner', 'none'];
  const boxes = groups.map((group) => ({ group, left: xOf(group) + 8, right: xOf(group) + 12 + textRoomPx(group.label), y: yOf(group) }));
  const taken: typeof boxes = [];
  for (const box of [...boxes].sort((a, b) => order.indexOf(a.group.beyond) - order.indexOf(b.group.beyond))) {
    const isFree = taken.every((other) => Math.abs(other.y - box.y) >= 16 || other.right < box.left || box.right < other.left);
    const hidesMark = boxes.some((other) => other.group !== box.group && Math.abs(other.y - box.y) < 10 && xOf(other.group) > box.left - 4 && xOf(other.group) < box.right);
    if (isFree && !hidesMark) taken.push(box);
  }
  return taken.map(({ group }) => group);
}
