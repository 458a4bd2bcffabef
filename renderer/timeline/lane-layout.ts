import { MARK_ROWS } from './event-layout.ts';
import type { Happenings } from './event-layout.ts';
import type { Lane, LaneKey } from './lanes.ts';

export interface Box {
  readonly topPx: number;
  readonly heightPx: number;
}

export interface LaneBox extends Box {
  readonly lane: Lane;
}

/** Where everything stands, in px from the top left of the stage. The plots of all lanes share left end and width. */
export interface TimelineLayout {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly plotLeftPx: number;
  readonly plotWidthPx: number;
  readonly marks: Box | null;
  readonly phases: Box | null;
  readonly moments: Box | null;
  readonly states: Box | null;
  readonly infusions: readonly Box[];
  readonly boluses: Box | null;
  readonly blind: Box | null;
  readonly lossRows: readonly (Box & { readonly siteKey: string })[];
  /** Under the losses of a site, for sites that have one: its held, weak, disputed and refused values. */
  readonly statusRows: readonly (Box & { readonly siteKey: string })[];
  readonly lanes: readonly LaneBox[];
}

export const ROW_PX = 18;
const BLIND_PX = 16;
export const STATUS_PX = 14;
const GAP_PX = 7;
export const ENTRY_PX = 17;

const LEAST_PX: Readonly<Record<LaneKey, number>> = { spo2: 128, perfusion: 62, rate: 66, pressure: 84, temperature: 42, gas: 48, respiration: 48, other: 48 };
/** A lane's name with its unit beneath, and the one that takes two lines: no lane is lower. */
const NAME_PX = 36;
const LONG_NAME_PX = 52;
/** Shares in which height beyond the least is given out. */
const WEIGHT: Readonly<Record<LaneKey, number>> = { spo2: 4, perfusion: 1.4, rate: 1.4, pressure: 2, temperature: 0.6, gas: 0.8, respiration: 0.6, other: 0.6 };

/** Returns the width of the column of lane names and of the column of values for a stage of this width. */
export function gutters(widthPx: number): { readonly leftPx: number; readonly rightPx: number } {
  return { leftPx: 124, rightPx: widthPx >= 1050 ? 216 : widthPx >= 700 ? 204 : 170 };
}

/**
 * Returns the layout of a stage.
 * Shape    top to bottom: marks, phases, events, states, infusions, boluses, the strip of the whole case (where several sites are worn), per site one
 *          row of losses and, where it has any, one of statuses, then the lanes. Where two rows of marks would not leave the lanes their least height, marks have one row;
 *          on paper they have two all the same: what finds no room there can be pointed at nowhere.
 *          `heightPx` may still exceed the wish: the stage then scrolls. `leastShare` lowers the least heights, where two pictures share a sheet.
 */
export function layoutTimeline(ofCase: LaidOut, widthPx: number, wishedHeightPx: number, isOnPaper = false, leastShare = 1): TimelineLayout {
  const rows = { ...ofCase, leastShare };
  const roomy = layoutWith(rows, widthPx, wishedHeightPx, MARK_ROWS);
  return isOnPaper || roomy.heightPx <= wishedHeightPx ? roomy : layoutWith(rows, widthPx, wishedHeightPx, 1);
}

/** What of a case takes room. */
export interface LaidOut {
  readonly lanes: readonly Lane[];
  /** Heights that a person chose, px, by lane id; the other lanes share what is left. */
  readonly heights: ReadonlyMap<string, number>;
  readonly happenings: Happenings;
  /** Rows of marks; 0: there are none. */
  readonly markRowCount: number;
  readonly lossSiteKeys: readonly string[];
  /** Sites with a row of statuses. */
  readonly statusSiteKeys: ReadonlySet<string>;
  readonly hasBlindStrip: boolean;
}

function layoutWith({ lanes, heights, happenings, markRowCount, lossSiteKeys, statusSiteKeys, hasBlindStrip, leastShare }: LaidOut & { readonly leastShare: number }, widthPx: number, wishedHeightPx: number, markRows: number): TimelineLayout {
  const { leftPx, rightPx } = gutters(widthPx);
  let topPx = 4;
  const take = (heightPx: number, gapPx: number): Box => {
    const box = { topPx, heightPx };
    topPx += heightPx + gapPx;
    return box;
  };
  const marks = markRowCount > 0 ? take(markRowCount * ROW_PX, 3) : null;
  const phases = happenings.phases.length > 0 ? take(ROW_PX, 3) : null;
  const moments = happenings.moments.length > 0 ? take(markRows * ROW_PX, 3) : null;
  const states = happenings.stateRows > 0 ? take(happenings.stateRows * ROW_PX, 3) : null;
  const infusions = happenings.infusions.map(() => take(ROW_PX, 3));
  const boluses = happenings.boluses.length > 0 ? take(markRows * ROW_PX, 3) : null;
  if (topPx > 4) topPx += GAP_PX - 3;
  const blind = hasBlindStrip ? take(BLIND_PX, 1) : null;
  const lossRows: (Box & { siteKey: string })[] = [];
  const statusRows: (Box & { siteKey: string })[] = [];
  for (const siteKey of lossSiteKeys) {
    lossRows.push({ siteKey, ...take(ROW_PX, 0) });
    if (statusSiteKeys.has(siteKey)) statusRows.push({ siteKey, ...take(STATUS_PX, 1) });
  }
  const least = lanes.map((lane) => Math.max(heights.get(lane.laneId) ?? Math.max(Math.ceil(LEAST_PX[lane.laneKey] * leastShare), Math.min(LEAST_PX[lane.laneKey], lane.laneKey === 'perfusion' ? LONG_NAME_PX : NAME_PX)), (lane.entries.length + (lane.note === null ? 0 : 1)) * ENTRY_PX));
  const needed = least.reduce((sum, heightPx) => sum + heightPx, 0) + GAP_PX * Math.max(0, lanes.length - 1) + 6;
  const spare = Math.max(0, wishedHeightPx - topPx - needed);
  const weightOf = (lane: Lane): number => (heights.has(lane.laneId) ? 0 : WEIGHT[lane.laneKey]);
  const weights = Math.max(1e-9, lanes.reduce((sum, lane) => sum + weightOf(lane), 0));
  const boxes = lanes.map((lane, i) => {
    const heightPx = Math.floor((least[i] ?? 0) + (spare * weightOf(lane)) / weights);
    return { lane, ...take(heightPx, GAP_PX) };
  });
  return {
    widthPx,
    heightPx: Math.max(topPx - GAP_PX + 6, 40),
    plotLeftPx: leftPx,
    plotWidthPx: Math.max(80, widthPx - leftPx - rightPx),
    marks, phases, moments, states, infusions, boluses, blind, lossRows, statusRows,
    lanes: boxes,
  };
}
