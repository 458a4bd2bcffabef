import type { Interval } from '../../core/base/interval.ts';
import { subtract } from '../../core/base/interval.ts';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import { caseExtent } from './case-extent.ts';
import { dropoutSpan, dropoutsInOrder } from './dropout-walk.ts';
import { buildHappenings } from './event-layout.ts';
import type { Happenings } from './event-layout.ts';
import { buildLanes, channelSiteKey, drawnLimits, siteStyles } from './lanes.ts';
import type { Lane } from './lanes.ts';
import { buildTrace } from './plot-adapter.ts';
import type { Trace } from './plot-adapter.ts';
import type { LineStyle } from './site-style.ts';
import { statusesOf } from './status-runs.ts';

/** All that the timeline derives from a case once, before anything is drawn. */
export interface TimelineModel {
  readonly lanes: readonly Lane[];
  /** Per channel id: every channel that a readout line shows. */
  readonly traces: ReadonlyMap<string, Trace>;
  readonly styles: ReadonlyMap<string, LineStyle>;
  readonly happenings: Happenings;
  /** Where a loss that never ended is drawn to. */
  readonly caseEndMs: number;
  readonly lossSiteKeys: readonly string[];
  /** Sites with held, weak, disputed or refused values. */
  readonly statusSiteKeys: ReadonlySet<string>;
  readonly hasBlindStrip: boolean;
  readonly doubtful: ReadonlyMap<string, readonly Interval[]>;
}

/** Returns what the timeline draws of a case. Neither argument is modified. */
export function buildTimelineModel(record: CaseRecord, analysis: CaseAnalysis): TimelineModel {
  const lanes = buildLanes(record, analysis);
  const caseEndMs = Math.max(caseExtent(record, analysis).endMs, analysis.bounds.endMs);
  const traces = new Map<string, Trace>();
  for (const lane of lanes) {
    for (const plot of lane.plots) for (const { trace } of plot.series) traces.set(trace.channelId, trace);
    for (const entry of lane.entries) {
      for (const channel of entry.channels) {
        if (channel !== null && !traces.has(channel.channelId)) traces.set(channel.channelId, buildTrace(channel, drawnLimits(channel, analysis)));
      }
    }
  }
  const sites = analysis.sites.filter((site) => site.monitored !== null || record.channels.some((channel) => channelSiteKey(channel) === site.siteKey));
  return {
    lanes,
    traces,
    styles: siteStyles(record, analysis),
    happenings: buildHappenings(record, analysis, caseEndMs),
    caseEndMs,
    lossSiteKeys: sites.map((site) => site.siteKey),
    statusSiteKeys: new Set(analysis.sites.filter((site) => statusesOf(site.statusRuns).length > 0).map((site) => site.siteKey)),
    hasBlindStrip: analysis.sites.length > 1,
    doubtful: new Map(analysis.sites.map((site) => [site.siteKey, doubtfulStretches(site.dropouts, site.dropoutsDoubtfulLost, caseEndMs)])),
  };
}

/** Returns the model with these lanes in place of its own. */
export function withLanes(model: TimelineModel, lanes: readonly Lane[]): TimelineModel {
  const traces = new Map(model.traces);
  for (const lane of lanes) for (const plot of lane.plots) for (const { trace } of plot.series) traces.set(trace.channelId, trace);
  return { ...model, lanes, traces };
}

/** Returns the stretches that are lost only when doubtful samples count as lost: the second result without the first. */
export function doubtfulStretches(
  primary: CaseAnalysis['sites'][number]['dropouts'],
  doubtfulLost: CaseAnalysis['sites'][number]['dropoutsDoubtfulLost'],
  caseEndMs: number,
): Interval[] {
  const holes = primary.map((dropout) => dropoutSpan(dropout, caseEndMs));
  return doubtfulLost.flatMap((dropout) => subtract({ startMs: dropout.firstLostMs, endMs: dropout.lastLostMs ?? dropoutSpan(dropout, caseEndMs).endMs }, holes));
}

/** Returns the words that name the timeline to someone who cannot see it. */
export function timelineLabel(record: CaseRecord, analysis: CaseAnalysis, lanes: readonly Lane[]): string {
  const count = dropoutsInOrder(analysis).length;
  const what = lanes.map((lane) => lane.title).join(', ');
  return `Timeline of case ${record.caseId}: ${what}; ${count === 0 ? 'no dropouts' : count === 1 ? '1 dropout' : `${count} dropouts`}. Press N for the next dropout, T for a table.`;
}
