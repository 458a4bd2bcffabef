import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { Channel } from '../../core/model/channel.ts';
import { QUANTITY_FACTS } from '../../core/model/quantity.ts';
import type { Quantity } from '../../core/model/quantity.ts';
import { siteKey } from '../../core/model/site.ts';
import type { PaletteKey } from './palette.ts';
import { ColumnSource, buildTrace, groupByGrid } from './plot-adapter.ts';
import type { EnvelopeSide, Trace } from './plot-adapter.ts';
import { assignSiteStyles } from './site-style.ts';
import type { LineStyle } from './site-style.ts';
import { snapOut } from './y-scale.ts';
import type { YScale } from './y-scale.ts';

export type LaneKey = 'spo2' | 'perfusion' | 'rate' | 'pressure' | 'temperature' | 'gas' | 'respiration' | 'other';

/** One line of a plot. `isHidden`: it only bounds a filled band. */
export interface PlotSeries {
  readonly trace: Trace;
  readonly style: LineStyle;
  readonly isHidden: boolean;
}

/** One plot: the lines of a lane that share a time grid. */
export interface PlotSpec {
  readonly plotKey: string;
  readonly series: readonly PlotSeries[];
  readonly scale: YScale;
  readonly source: ColumnSource;
  /** Indices of two series between which the plot is filled, upper first. */
  readonly band: { readonly upper: number; readonly lower: number; readonly color: PaletteKey } | null;
}

/** One cuff reading: drawn as an upright bar, not joined to the next. */
export interface CuffReading {
  readonly atMs: number;
  readonly sys: number | null;
  readonly dia: number | null;
  readonly mean: number | null;
}

/** What the readout shows on one line. */
export interface ReadoutEntry {
  readonly entryKey: string;
  readonly name: string;
  readonly style: LineStyle;
  readonly kind: 'value' | 'pressure' | 'cuff';
  /** One channel for a value; systolic, diastolic and mean (null where not recorded) for pressures. */
  readonly channels: readonly (Channel | null)[];
  /** What the label stands beside at the right end of the lane. */
  readonly anchor: Trace | null;
  readonly unit: string;
  readonly decimals: number;
  readonly siteKey: string | null;
}

export interface Lane {
  readonly laneKey: LaneKey;
  /** Tells lanes of one key apart. */
  readonly laneId: string;
  readonly title: string;
  readonly unit: string;
  readonly scale: YScale;
  /** Values marked by a dotted line. */
  readonly guides: readonly number[];
  /** What the dotted lines are, where that has to be said. */
  readonly note: string | null;
  readonly plots: readonly PlotSpec[];
  readonly cuff: readonly CuffReading[];
  readonly entries: readonly ReadoutEntry[];
}

const PLAIN: Omit<LineStyle, 'color'> = { dashPx: [], marker: 'none', widthPx: 1.5 };

/** Returns the key of the sensor a channel belongs to, or null for a channel of no sensor. */
export function channelSiteKey(channel: Channel): string | null {
  return channel.site === null ? null : siteKey({ site: channel.site, sensor: channel.sensor });
}

/** Returns the line style of every sensor of a case. */
export function siteStyles(record: CaseRecord, analysis: CaseAnalysis): ReadonlyMap<string, LineStyle> {
  const sensors = analysis.sites.map(({ siteKey: key, site }) => ({ siteKey: key, site }));
  for (const channel of record.channels) {
    if (channel.site !== null) sensors.push({ siteKey: siteKey({ site: channel.site, sensor: channel.sensor }), site: channel.site });
  }
  return assignSiteStyles(sensors);
}

/** Returns the lanes of a case from top to bottom: only those that have a channel with at least one value. */
export function buildLanes(record: CaseRecord, analysis: CaseAnalysis): Lane[] {
  const styles = siteStyles(record, analysis);
  const of = (...quantities: readonly Quantity[]): Channel[] =>
    quantities.flatMap((quantity) => record.channels.filter((channel) => channel.quantity === quantity && hasValue(channel)));
  const lanes = [
    spo2Lane(of('spo2'), styles, analysis),
    perfusionLane(of('perfusion-index'), styles, analysis),
    rateLane(of('pulse-rate'), of('heart-rate'), styles, analysis),
    pressureLane(of),
    temperatureLane(of('temp-core', 'temp')),
    gasLane(of('etco2'), of('fio2')),
    respirationLane(of('resp-rate')),
  ];
  return lanes.filter((lane) => lane !== null);
}

/** Returns the channels that have no lane of their own kind, with at least one value: each can be drawn when asked for. */
export function furtherChannels(record: CaseRecord): Channel[] {
  return record.channels.filter((channel) => QUANTITY_FACTS[channel.quantity].lane === 'none' && channel.quantity !== 'resp-rate' && hasValue(channel));
}

/** Returns a lane for a channel that no rule of drawing knows: its values as recorded, on a scale that holds them all. */
export function furtherLane(channel: Channel): Lane {
  const line = lineOf(channel, { ...PLAIN, color: 'eventInk' }, factLimits(channel));
  const [low, high] = extent([line.trace]) ?? [0, 1];
  const marginAt = high > low ? (high - low) * 0.06 : Math.max(1, Math.abs(high) * 0.06);
  const scale: YScale = { kind: 'linear', min: low - marginAt, max: high + marginAt };
  const laneId = `other ${channel.channelId}`;
  return {
    laneKey: 'other', laneId, title: recordedTitle(channel), unit: channel.unit, scale, guides: [], note: null, cuff: [],
    plots: plotsOf(laneId, [line], scale, null),
    entries: [entryOf(line, channelSiteKey(channel) ?? 'as recorded', decimalsOf(line.trace))],
  };
}

/** Returns the name of the channel; a unit in brackets at its end is left out, as it stands beneath. */
export function recordedTitle({ label, unit }: Channel): string {
  const name = label.endsWith(`(${unit})`) ? label.slice(0, -unit.length - 2).trim() : label;
  return name === '' ? label : name;
}

/** Returns how many decimals, two at most, the values were recorded with. */
function decimalsOf({ value }: Trace): number {
  return [0, 1].find((decimals) => value.every((one) => Number.isNaN(one) || Math.abs(one * 10 ** decimals - Math.round(one * 10 ** decimals)) < 1e-6)) ?? 2;
}

function respirationLane(channels: readonly Channel[]): Lane | null {
  if (channels.length === 0) return null;
  const dashes: readonly (readonly number[])[] = [[], [5, 3], [2, 2]];
  const lines = channels.map((channel, i) => lineOf(channel, { ...PLAIN, color: 'gasInk', dashPx: dashes[i % dashes.length] ?? [] }, factLimits(channel)));
  const [, high] = extent(lines.map((line) => line.trace)) ?? [0, 20];
  const scale: YScale = { kind: 'linear', min: 0, max: Math.max(20, Math.ceil(high / 10) * 10) };
  return {
    laneKey: 'respiration', laneId: 'respiration', title: 'Breathing', unit: '/min', scale, guides: [], note: null, cuff: [],
    plots: plotsOf('respiration', lines, scale, null),
    entries: lines.map((line) => entryOf(line, channels.length > 1 ? line.channel.label : 'respiratory rate', 0)),
  };
}

function hasValue(channel: Channel): boolean {
  return channel.value.some((value) => !Number.isNaN(value));
}

/** Returns the limits outside which a value of this channel is implausible and not drawn; null where there are none. */
export function drawnLimits(channel: Channel, analysis: CaseAnalysis): readonly [number, number] | null {
  if (channel.quantity === 'spo2') return analysis.parameters.spo2Plausible;
  if (channel.quantity === 'perfusion-index') return analysis.parameters.perfusionPlausible;
  if (channel.quantity === 'pulse-rate') return analysis.parameters.pulsePlausible;
  return factLimits(channel);
}

function factLimits(channel: Channel): readonly [number, number] | null {
  return QUANTITY_FACTS[channel.quantity].plausible;
}

interface Line {
  readonly channel: Channel;
  readonly trace: Trace;
  readonly style: LineStyle;
  readonly side: EnvelopeSide;
  readonly isHidden: boolean;
}

function lineOf(channel: Channel, style: LineStyle, plausible: readonly [number, number] | null): Line {
  return { channel, trace: buildTrace(channel, plausible), style, side: 'both', isHidden: false };
}

function plotsOf(laneId: string, lines: readonly Line[], scale: YScale, band: { readonly upper: Line; readonly lower: Line; readonly color: PaletteKey } | null): PlotSpec[] {
  return groupByGrid(lines.map((line) => line.trace)).map((group, iGroup) => {
    const members = group.map((trace) => lines.find((line) => line.trace === trace)).filter((line) => line !== undefined);
    const upper = band === null ? -1 : members.indexOf(band.upper);
    const lower = band === null ? -1 : members.indexOf(band.lower);
    return {
      plotKey: `${laneId} ${iGroup}`,
      series: members.map(({ trace, style, isHidden }) => ({ trace, style, isHidden })),
      scale,
      source: new ColumnSource(group, members.map((line) => line.side)),
      band: band !== null && upper >= 0 && lower >= 0 ? { upper, lower, color: band.color } : null,
    };
  });
}

function extent(traces: readonly Trace[]): readonly [number, number] | null {
  let min = Infinity;
  let max = -Infinity;
  for (const trace of traces) {
    for (let i = 0; i < trace.value.length; i++) {
      const value = trace.value[i] ?? NaN;
      if (value < min) min = value;
      if (value > max) max = value;
    }
  }
  return min <= max ? [min, max] : null;
}

function entryOf(line: Line, name: string, decimals: number): ReadoutEntry {
  return {
    entryKey: line.channel.channelId,
    name,
    style: line.style,
    kind: 'value',
    channels: [line.channel],
    anchor: line.trace,
    unit: line.channel.unit,
    decimals,
    siteKey: channelSiteKey(line.channel),
  };
}

function sensorStyle(channel: Channel, styles: ReadonlyMap<string, LineStyle>): LineStyle {
  return styles.get(channelSiteKey(channel) ?? '') ?? { ...PLAIN, color: 'siteOther' };
}

function hasFraction(traces: readonly Trace[]): boolean {
  return traces.some((trace) => trace.value.some((value) => Math.abs(value - Math.round(value)) > 1e-6));
}

function spo2Lane(channels: readonly Channel[], styles: ReadonlyMap<string, LineStyle>, analysis: CaseAnalysis): Lane | null {
  if (channels.length === 0) return null;
  const lines = channels.map((channel) => lineOf(channel, sensorStyle(channel, styles), drawnLimits(channel, analysis)));
  const [low] = extent(lines.map((line) => line.trace)) ?? [100];
  const min = Math.min(60, Math.floor(low / 10) * 10);
  // Room above 100 and below the lowest tick, so that a line along the limit is not cut in half.
  const scale: YScale = { kind: 'linear', min: min - 1, max: 101.5 };
  const decimals = hasFraction(lines.map((line) => line.trace)) ? 1 : 0;
  return {
    laneKey: 'spo2', laneId: 'spo2', title: 'SpO2', unit: '%', scale, guides: [90], note: null, cuff: [],
    plots: plotsOf('spo2', lines, scale, null),
    entries: lines.map((line) => entryOf(line, channelSiteKey(line.channel) ?? line.channel.label, decimals)),
  };
}

function perfusionLane(channels: readonly Channel[], styles: ReadonlyMap<string, LineStyle>, analysis: CaseAnalysis): Lane | null {
  if (channels.length === 0) return null;
  const lines = channels.map((channel) => lineOf(channel, sensorStyle(channel, styles), drawnLimits(channel, analysis)));
  const [low, high] = extent(lines.map((line) => line.trace)) ?? [0.1, 10];
  const scale: YScale = { kind: 'log', min: low < 0.1 ? 0.018 : 0.09, max: high > 11 ? 42 : 11 };
  return {
    laneKey: 'perfusion', laneId: 'perfusion', title: 'Perfusion index', unit: 'log', scale, cuff: [],
    // Handbook 13: 0.3 and 1 are common practice without source.
    guides: [0.3, 1], note: '0.3, 1: common practice',
    plots: plotsOf('perfusion', lines, scale, null),
    entries: lines.map((line) => entryOf(line, channelSiteKey(line.channel) ?? line.channel.label, 2)),
  };
}

function rateLane(pulse: readonly Channel[], heart: readonly Channel[], styles: ReadonlyMap<string, LineStyle>, analysis: CaseAnalysis): Lane | null {
  if (pulse.length + heart.length === 0) return null;
  const heartStyles: readonly LineStyle[] = [
    { ...PLAIN, color: 'rateInk', dashPx: [1.5, 2] },
    { ...PLAIN, color: 'rateSecondInk', dashPx: [6, 2, 1.5, 2] },
  ];
  const pulseLines = pulse.map((channel) => lineOf(channel, { ...sensorStyle(channel, styles), widthPx: 1.3 }, drawnLimits(channel, analysis)));
  const heartLines = heart.map((channel, i) => lineOf(channel, heartStyles[i % heartStyles.length] ?? { ...PLAIN, color: 'rateInk' }, drawnLimits(channel, analysis)));
  const lines = [...heartLines, ...pulseLines];
  const [low, high] = extent(lines.map((line) => line.trace)) ?? [60, 100];
  const [min, max] = snapOut(Math.min(40, low), Math.max(120, high), 20);
  const scale: YScale = { kind: 'linear', min, max };
  return {
    laneKey: 'rate', laneId: 'rate', title: 'Rate', unit: '/min', scale, guides: [], note: null, cuff: [],
    plots: plotsOf('rate', lines, scale, null),
    entries: [
      ...pulseLines.map((line) => entryOf(line, `pulse, ${channelSiteKey(line.channel) ?? line.channel.label}`, 0)),
      ...heartLines.map((line) => entryOf(line, 'heart (ECG)', 0)),
    ],
  };
}

function pressureLane(of: (...quantities: readonly Quantity[]) => Channel[]): Lane | null {
  const pick = (quantity: Quantity): Channel | null => of(quantity)[0] ?? null;
  const art = { sys: pick('art-sys'), dia: pick('art-dia'), mean: pick('art-mean') };
  const nibp = { sys: pick('nibp-sys'), dia: pick('nibp-dia'), mean: pick('nibp-mean') };
  const entries: ReadoutEntry[] = [];
  const lines: Line[] = [];
  const edge: LineStyle = { color: 'pressureInk', dashPx: [], marker: 'none', widthPx: 0.6 };
  const meanStyle: LineStyle = { color: 'pressureInk', dashPx: [], marker: 'none', widthPx: 1.5 };
  let band: { readonly upper: Line; readonly lower: Line; readonly color: PaletteKey } | null = null;
  const bounds = art.sys !== null && art.dia !== null;
  const upper = art.sys === null ? null : { ...lineOf(art.sys, edge, factLimits(art.sys)), side: bounds ? ('max' as const) : ('both' as const) };
  const lower = art.dia === null ? null : { ...lineOf(art.dia, edge, factLimits(art.dia)), side: bounds ? ('min' as const) : ('both' as const) };
  const mean = art.mean === null ? null : lineOf(art.mean, meanStyle, factLimits(art.mean));
  for (const line of [upper, lower, mean]) if (line !== null) lines.push(line);
  if (upper !== null && lower !== null) band = { upper, lower, color: 'pressureInk' };
  const artLine = mean ?? upper ?? lower;
  if (artLine !== null) {
    entries.push({
      entryKey: 'art', name: 'arterial', style: meanStyle, kind: 'pressure', channels: [art.sys, art.dia, art.mean],
      anchor: artLine.trace, unit: artLine.channel.unit, decimals: 0, siteKey: null,
    });
  }
  const cuff = cuffReadings(nibp);
  const first = nibp.sys ?? nibp.mean ?? nibp.dia;
  if (first !== null) {
    entries.push({
      entryKey: 'nibp', name: 'cuff', style: { color: 'pressureInk', dashPx: [], marker: 'none', widthPx: 1.5 }, kind: 'cuff',
      channels: [nibp.sys, nibp.dia, nibp.mean], anchor: null, unit: first.unit, decimals: 0, siteKey: null,
    });
  }
  if (entries.length === 0) return null;
  const [artLow, artHigh] = extent(lines.map((line) => line.trace)) ?? [40, 140];
  // All three of a reading: in a record whose columns were mixed up the diastolic value is the highest, and that is to be seen.
  const read = (reading: CuffReading): number[] => [reading.sys, reading.dia, reading.mean].filter((value) => value !== null);
  const lowest = cuff.reduce((low, reading) => Math.min(low, ...read(reading)), Math.min(40, artLow));
  const highest = cuff.reduce((high, reading) => Math.max(high, ...read(reading)), Math.max(140, artHigh));
  const [min, max] = snapOut(lowest, highest, 20);
  const scale: YScale = { kind: 'linear', min, max };
  return {
    laneKey: 'pressure', laneId: 'pressure', title: 'Pressure', unit: 'mmHg', scale, guides: [], note: null, cuff, entries,
    plots: plotsOf('pressure', lines, scale, band),
  };
}

/** Returns the cuff's readings in time order; values recorded at one instant make one reading. */
export function cuffReadings(nibp: { readonly sys: Channel | null; readonly dia: Channel | null; readonly mean: Channel | null }): CuffReading[] {
  const readings = new Map<number, { sys: number | null; dia: number | null; mean: number | null }>();
  for (const part of ['sys', 'dia', 'mean'] as const) {
    const channel = nibp[part];
    if (channel === null) continue;
    const trace = buildTrace(channel, factLimits(channel));
    for (let i = 0; i < trace.tMs.length; i++) {
      const atMs = trace.tMs[i] ?? NaN;
      const reading = readings.get(atMs) ?? { sys: null, dia: null, mean: null };
      reading[part] = trace.value[i] ?? null;
      readings.set(atMs, reading);
    }
  }
  return [...readings].map(([atMs, reading]) => ({ atMs, ...reading })).sort((a, b) => a.atMs - b.atMs);
}

function temperatureLane(channels: readonly Channel[]): Lane | null {
  if (channels.length === 0) return null;
  const dashes: readonly (readonly number[])[] = [[], [5, 3], [2, 2]];
  const lines = channels.map((channel, i) => lineOf(channel, { ...PLAIN, color: 'temperatureInk', dashPx: dashes[i % dashes.length] ?? [] }, factLimits(channel)));
  const [low, high] = extent(lines.map((line) => line.trace)) ?? [35, 38];
  const [min, max] = snapOut(Math.min(35, low), Math.max(38, high), 1);
  const scale: YScale = { kind: 'linear', min, max };
  return {
    laneKey: 'temperature', laneId: 'temperature', title: 'Temperature', unit: '°C', scale, guides: [36], note: null, cuff: [],
    plots: plotsOf('temperature', lines, scale, null),
    entries: lines.map((line) => entryOf(line, line.channel.quantity === 'temp-core' ? 'core' : channels.length > 1 ? line.channel.label : 'body', 1)),
  };
}

function gasLane(etco2: readonly Channel[], fio2: readonly Channel[]): Lane | null {
  if (etco2.length + fio2.length === 0) return null;
  const carbon = etco2.map((channel) => lineOf(channel, { ...PLAIN, color: 'gasInk' }, factLimits(channel)));
  const oxygen = fio2.map((channel) => lineOf(channel, { ...PLAIN, color: 'gasInk', dashPx: [6, 3] }, factLimits(channel)));
  const lines = [...carbon, ...oxygen];
  const [, high] = extent(lines.map((line) => line.trace)) ?? [0, 60];
  const scale: YScale = { kind: 'linear', min: 0, max: Math.max(60, Math.ceil(high / 20) * 20) };
  return {
    laneKey: 'gas', laneId: 'gas', title: 'Gas', unit: fio2.length === 0 ? 'mmHg' : etco2.length === 0 ? '%' : 'mmHg, %', scale, guides: [], note: null, cuff: [],
    plots: plotsOf('gas', lines, scale, null),
    entries: [...carbon.map((line) => entryOf(line, 'EtCO2', 0)), ...oxygen.map((line) => entryOf(line, 'inspired O2', 0))],
  };
}
