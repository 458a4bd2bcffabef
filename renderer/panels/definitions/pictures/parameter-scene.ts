import type { AnalysisParameters } from '../../../../core/model/parameters.ts';
import { durationText } from '../../../format/time-text.ts';
import { plainNumberText } from '../../../format/number-text.ts';

/** Size of a picture in its own units; time runs from left to right. */
export const SCENE_WIDTH = 240;
export const SCENE_HEIGHT = 84;

type Point = readonly [x: number, y: number];

/** One thing in a picture of what a parameter does. */
export type Shape =
  /** A recorded signal; `soft` for a second one. */
  | { readonly kind: 'signal'; readonly points: readonly Point[]; readonly look: 'plain' | 'soft' }
  /** A loss; `kept` is one that counts. */
  | { readonly kind: 'loss'; readonly x1: number; readonly x2: number; readonly kept: boolean }
  /** A stretch of time with what it is called. */
  | { readonly kind: 'span'; readonly x1: number; readonly x2: number; readonly text: string }
  | { readonly kind: 'level'; readonly y: number; readonly text: string }
  /** Something given or done at an instant. */
  | { readonly kind: 'mark'; readonly x: number; readonly text: string }
  | { readonly kind: 'region'; readonly points: readonly Point[] }
  | { readonly kind: 'text'; readonly x: number; readonly y: number; readonly text: string };

const TOP = 20;
const LOW = 54;
const MID = 30;
const SPAN_TEXT_FROM = 4;

const signal = (points: readonly Point[], look: 'plain' | 'soft' = 'plain'): Shape => ({ kind: 'signal', points, look });
const flat = (x1: number, x2: number, y = MID, look: 'plain' | 'soft' = 'plain'): Shape => signal([[x1, y], [x2, y]], look);
const loss = (x1: number, x2: number, kept = true): Shape => ({ kind: 'loss', x1, x2, kept });
const span = (x1: number, x2: number, text: string): Shape => ({ kind: 'span', x1, x2, text });
const level = (y: number, text: string): Shape => ({ kind: 'level', y, text });
const mark = (x: number, text: string): Shape => ({ kind: 'mark', x, text });
const text = (x: number, y: number, words: string): Shape => ({ kind: 'text', x, y, text: words });

const seconds = (s: number): string => durationText(s * 1000);

/** Steps of a jumpy signal between two x, the same at every drawing. */
function jumpy(x1: number, x2: number, y: number, size: number): Shape {
  const points: Point[] = [];
  for (let x = x1, i = 0; x <= x2; x += 5, i += 1) points.push([x, y + size * ((i * 7) % 5 < 2 ? -1 : i % 3 === 0 ? 1 : 0.2)]);
  return signal(points);
}

/** Three losses of 20, 40 and 80 units: those that a minimum keeps are filled. The middle one is drawn as long as the minimum. */
function shortest(p: AnalysisParameters): Shape[] {
  return [
    flat(0, 30), loss(30, 44, false), flat(44, 80), loss(80, 118), flat(118, 150), loss(150, 220), flat(220, 240),
    text(22, 12, 'shorter'), span(80, 118, seconds(p.minDurationS)), text(156, 12, 'longer: counts'),
  ];
}

function lookBack(windowText: string, what: string): Shape[] {
  return [flat(0, 150), loss(150, 205), flat(205, 240), mark(90, what), mark(26, 'too early'), span(56, 150, windowText)];
}

function desaturation(): Shape[] {
  return [signal([[0, 24], [70, 24], [90, 46], [140, 46], [165, 25], [240, 24]])];
}

const fading: readonly Point[] = [[0, TOP], [60, TOP + 2], [110, 40], [148, 47]];

type SceneOf = (p: AnalysisParameters) => readonly Shape[];

/** What each parameter does, drawn. Lengths are schematic: only what is written is to scale with nothing. */
const SCENES: Readonly<Record<Exclude<keyof AnalysisParameters, 'name'>, SceneOf>> = {
  minDurationS: shortest,
  bridgeS: (p) => [flat(0, 40), loss(40, 90), flat(90, 106), loss(106, 160), flat(160, 240), text(78, 12, 'one dropout'), span(90, 106, `under ${seconds(p.bridgeS)}`)],
  heldS: (p) => [jumpy(0, 70, MID, 4), flat(70, 180), jumpy(180, 240, MID, 4), loss(70, 180), text(78, 12, 'SpO2 does not move'), span(70, 180, `over ${seconds(p.heldS)}`)],
  heldMinSamples: (p) => [jumpy(0, 60, MID, 4), ...Array.from({ length: 10 }, (_, i) => flat(70 + i * 12, 73 + i * 12)), jumpy(196, 240, MID, 4), span(70, 190, `at least ${p.heldMinSamples} values`)],
  heldMaxIntervalS: (p) => [...Array.from({ length: 9 }, (_, i) => flat(20 + i * 24, 23 + i * 24)), span(44, 68, `${seconds(p.heldMaxIntervalS)} or less`)],
  deviceHoldS: (p) => [jumpy(0, 92, MID, 3), flat(92, 120), loss(120, 190), flat(190, 240), text(24, 12, 'signal gone here, shown on'), span(92, 120, seconds(p.deviceHoldS))],
  weakPerfusionIndex: (p) => [signal([[0, TOP], [60, TOP + 4], [110, 48], [160, 50], [200, 28], [240, 24]]), level(42, plainNumberText(p.weakPerfusionIndex)), span(98, 172, 'doubtful')],
  disputedPerMin: (p) => [flat(0, 240, 24), signal([[0, 25], [70, 25], [90, 46], [160, 46], [180, 25], [240, 25]], 'soft'), text(4, 16, 'heart rate'), text(100, 42, `${plainNumberText(p.disputedPerMin)} /min apart`), span(84, 166, 'doubtful')],
  disputedPct: (p) => [flat(0, 240, 24), signal([[0, 25], [70, 25], [90, 46], [160, 46], [180, 25], [240, 25]], 'soft'), text(4, 16, 'heart rate'), text(98, 42, `and ${plainNumberText(p.disputedPct)} % of it`), span(84, 166, 'doubtful')],
  disputedS: (p) => [flat(0, 240, 24), signal([[0, 25], [70, 25], [90, 46], [160, 46], [180, 25], [240, 25]], 'soft'), text(4, 16, 'heart rate'), span(84, 166, `${seconds(p.disputedS)} or longer`)],
  spo2Plausible: (p) => [level(TOP, `${plainNumberText(p.spo2Plausible[1])} %`), level(LOW, `${plainNumberText(p.spo2Plausible[0])} %`), flat(0, 60), flat(72, 240), flat(62, 70, 10), text(76, 14, 'outside: lost')],
  perfusionPlausible: (p) => [level(TOP, plainNumberText(p.perfusionPlausible[1])), level(LOW, plainNumberText(p.perfusionPlausible[0])), flat(0, 60), flat(72, 240), flat(62, 70, 10), text(76, 14, 'outside: not used')],
  pulsePlausible: (p) => [level(TOP, `${plainNumberText(p.pulsePlausible[1])} /min`), level(LOW, `${plainNumberText(p.pulsePlausible[0])} /min`), flat(0, 60), flat(72, 240), flat(62, 70, 10), text(76, 14, 'outside: not used')],
  afterLastGoodS: (p) => [flat(0, 90, 24), loss(90, 225), flat(0, 225, 48, 'soft'), text(4, 16, 'SpO2'), text(4, 44, 'other channels'), span(90, 225, `over ${seconds(p.afterLastGoodS)}: not restored`)],
  keepRecordGaps: (p) => [flat(0, 80, 24), flat(160, 240, 24), flat(0, 80, 46, 'soft'), flat(160, 240, 46, 'soft'), span(80, 160, p.keepRecordGaps ? 'counts' : 'taken out'), text(86, 36, 'nothing recorded')],
  lookBackBolusS: (p) => lookBack(`${seconds(p.lookBackBolusS['other'] ?? 0)}, or by drug`, 'bolus'),
  lookBackInfusionS: (p) => lookBack(seconds(p.lookBackInfusionS), 'rate raised'),
  infusionRisePct: (p) => [signal([[0, 48], [60, 48], [60, 44], [130, 44], [130, 24], [240, 24]], 'soft'), text(64, 40, 'not counted'), text(136, 20, `from ${plainNumberText(p.infusionRisePct)} % on`)],
  lookBackPositionS: (p) => lookBack(`${seconds(p.lookBackPositionS['other'] ?? 0)}, or by position`, 'turned'),
  handTimeS: (p) => [flat(0, 150), loss(150, 205), flat(205, 240), mark(120, 'typed by hand'), span(96, 144, `± ${seconds(p.handTimeS)}`)],
  pressureBeforeS: (p) => [signal([[0, 26], [40, 24], [80, 36], [120, 46], [150, 44]], 'soft'), loss(150, 205), text(4, 16, 'arterial pressure'), span(30, 150, seconds(p.pressureBeforeS))],
  returnDropPoints: (p) => [flat(0, 90, 22), loss(90, 150), flat(150, 240, 44), text(118, 14, `${plainNumberText(p.returnDropPoints)} points lower or more`), text(40, 18, 'before')],
  returnBelowPct: (p) => [flat(0, 90, 22), loss(90, 150), flat(150, 240, 48), level(38, `${plainNumberText(p.returnBelowPct)} %`)],
  fadeWindowS: (p) => [signal(fading), loss(150, 205), flat(205, 240, TOP), span(20, 150, `within ${seconds(p.fadeWindowS)}`)],
  fadeFallPct: (p) => [signal(fading), loss(150, 205), flat(205, 240, TOP), text(60, 16, `fell by ${plainNumberText(p.fadeFallPct)} % or more`)],
  onsetLastS: (p) => [jumpy(0, 150, MID, 3), loss(150, 205), span(118, 150, seconds(p.onsetLastS))],
  steadyWindowS: (p) => [jumpy(0, 150, MID, 3), loss(150, 205), span(10, 150, seconds(p.steadyWindowS))],
  abruptKeepPct: (p) => [flat(0, 118, 24), flat(118, 150, 29), loss(150, 205), text(10, 44, `still ${plainNumberText(p.abruptKeepPct)} % or more`), span(118, 150, 'last')],
  desirablePerfusionIndex: (p) => [flat(0, 150, 26), loss(150, 205), level(42, `${plainNumberText(p.desirablePerfusionIndex)}`), text(4, 20, 'perfusion index')],
  cuffMarginS: (p) => [flat(0, 90), loss(90, 140), flat(140, 240), mark(168, 'cuff'), span(60, 180, `within ${seconds(p.cuffMarginS)} of it`)],
  cuffMaxS: (p) => [flat(0, 80), loss(80, 160), flat(160, 240), mark(158, 'cuff'), span(80, 160, `${seconds(p.cuffMaxS)} at most`)],
  cuffMinDropouts: (p) => [flat(0, 40), loss(40, 60), flat(60, 110), loss(110, 130), flat(130, 180), loss(180, 200), flat(200, 240), mark(58, ''), mark(128, ''), mark(198, 'cuff'), span(40, 200, `${p.cuffMinDropouts} or more like it`)],
  unsteadyWindowS: (p) => [flat(0, 40), loss(40, 48, false), flat(48, 76), loss(76, 82, false), flat(82, 110), loss(110, 120, false), flat(120, 150), loss(150, 205), span(24, 150, seconds(p.unsteadyWindowS))],
  unsteadyMinRuns: (p) => [flat(0, 40), loss(40, 48, false), flat(48, 76), loss(76, 82, false), flat(82, 110), loss(110, 120, false), flat(120, 150), loss(150, 205), text(36, 12, `${p.unsteadyMinRuns} short ones or more`)],
  coldBelowC: (p) => [signal([[0, 22], [80, 32], [150, 46], [205, 50]], 'soft'), loss(150, 205), level(38, `${plainNumberText(p.coldBelowC)} °C`), text(4, 16, 'core temperature')],
  hypoxaemiaFloorPct: (p) => [flat(0, 70, 30), { kind: 'region', points: [[70, 24], [150, 24], [150, 56], [70, 56]] }, flat(150, 240, 30), level(24, '90 %'), level(56, `${plainNumberText(p.hypoxaemiaFloorPct)} %`)],
  desaturationFallPoints: (p) => [...desaturation(), text(74, 16, `${plainNumberText(p.desaturationFallPoints)} points down or more`), flat(70, 165, 24, 'soft')],
  desaturationBaselineS: (p) => [...desaturation(), span(4, 74, seconds(p.desaturationBaselineS))],
  desaturationMinS: (p) => [...desaturation(), span(84, 152, `${seconds(p.desaturationMinS)} or longer`)],
  desaturationReturnPoints: (p) => [...desaturation(), level(40, `within ${plainNumberText(p.desaturationReturnPoints)}`)],
  fallPctPerS: (p) => [flat(0, 60, 22), { kind: 'region', points: [[60, 22], [134, 56], [150, 26], [60, 26]] }, flat(150, 240, 26), text(62, 12, `falls ${plainNumberText(p.fallPctPerS)} %/s at most`)],
  risePctPerS: (p) => [flat(0, 60, 22), { kind: 'region', points: [[60, 22], [134, 56], [150, 26], [60, 26]] }, flat(150, 240, 26), text(96, 12, `rises ${plainNumberText(p.risePctPerS)} %/s at most`)],
  keepBypass: (p) => [flat(0, 70, 24), flat(190, 240, 24), flat(0, 70, 46, 'soft'), flat(190, 240, 46, 'soft'), span(70, 190, p.keepBypass ? 'bypass: kept' : 'bypass: left out')],
  lagMaxS: (p) => [signal([[0, 24], [60, 24], [90, 48], [240, 48]]), signal([[0, 24], [110, 24], [140, 48], [240, 48]], 'soft'), span(76, 126, `up to ${seconds(p.lagMaxS)}`)],
  lagSwingPoints: (p) => [signal([[0, 24], [60, 24], [90, 48], [240, 48]]), signal([[0, 24], [110, 24], [140, 48], [240, 48]], 'soft'), text(150, 40, `${plainNumberText(p.lagSwingPoints)} points or more`)],
  stablePoints: (p) => [jumpy(0, 240, 26, 3), signal([[0, 40], [60, 41], [120, 39], [180, 41], [240, 40]], 'soft'), text(60, 14, `within ${plainNumberText(p.stablePoints)} points`)],
  stableS: (p) => [jumpy(0, 240, 26, 3), signal([[0, 40], [60, 41], [120, 39], [180, 41], [240, 40]], 'soft'), span(60, 180, seconds(p.stableS))],
};

/** Returns the picture of what a parameter does, with its present value written in. */
export function sceneOf(key: Exclude<keyof AnalysisParameters, 'name'>, parameters: AnalysisParameters): readonly Shape[] {
  return SCENES[key](parameters);
}

/** Returns where the words of a span stand: under its middle, but wholly inside the picture. Roughly 5.2 units a letter. */
export function spanTextX(x1: number, x2: number, words: string): number {
  const half = (words.length * 5.2) / 2;
  return Math.min(SCENE_WIDTH - half - SPAN_TEXT_FROM, Math.max(half + SPAN_TEXT_FROM, (x1 + x2) / 2));
}
