import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import type { CaseClock } from '../../format/time-text.ts';
import { allDropouts } from '../../state/selection.ts';
import { siteText } from './case-facts.ts';

/** An instant of a case that another can be laid upon. */
export interface Anchor {
  readonly anchorId: string;
  readonly atMs: number;
  readonly label: string;
}

/** Returns what a case can be aligned on, in groups of one kind, each in time order: onsets of dropouts, exposures, events, the start of the case. */
export function caseAnchors(record: CaseRecord, analysis: CaseAnalysis, clock: CaseClock): Anchor[] {
  return [
    ...allDropouts(analysis).map((dropout): Anchor => ({ anchorId: `dropout ${dropout.dropoutId}`, atMs: dropout.firstLostMs, label: `dropout ${dropout.number}, ${siteText(dropout.siteKey)}, ${clock.clock(dropout.firstLostMs)}` })),
    ...analysis.exposures.map((exposure): Anchor => ({ anchorId: `exposure ${exposure.exposureId}`, atMs: exposure.atMs, label: `${exposure.label}, ${clock.clock(exposure.atMs)}` })),
    ...record.events.map((event): Anchor => ({ anchorId: `event ${event.eventId}`, atMs: event.atMs, label: `${event.text || event.term || event.kind}, ${clock.clock(event.atMs)}` })),
    { anchorId: 'start', atMs: analysis.bounds.startMs, label: `start of the case, ${clock.clock(analysis.bounds.startMs)}` },
  ];
}

/** Returns the id of the anchor next to `anchorId`, best one of the same kind and the later of two; without any, `anchorId`: what a second stretch of the case is aligned on until it is chosen. */
export function anchorBeside(anchors: readonly Anchor[], anchorId: string): string {
  const at = anchors.findIndex((anchor) => anchor.anchorId === anchorId);
  const beside = [anchors[at + 1], anchors[at - 1]].filter((anchor) => anchor !== undefined);
  return (beside.find((anchor) => kindOf(anchor.anchorId) === kindOf(anchorId)) ?? beside[0])?.anchorId ?? anchorId;
}

function kindOf(anchorId: string): string {
  return anchorId.split(' ', 1)[0] ?? '';
}
