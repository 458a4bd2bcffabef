import type { CaseEvent } from '../model/event.ts';
import type { OnsetEvidence, OnsetPattern } from '../model/onset-evidence.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { Channel } from '../model/channel.ts';
import type { BareDropout } from '../episodes/dropouts.ts';
import type { LossRun } from '../model/loss-run.ts';
import type { SiteTrack } from '../quality/site-track.ts';
import { coreTemperature } from './onset/core-temperature.ts';
import { cuffEvidence } from './onset/cuff-cycle.ts';
import { isAbrupt, isFading, perfusionCourse } from './onset/perfusion-course.ts';
import { isUnsteady, unsteadiness } from './onset/unsteadiness.ts';
import { plainStateEnd } from './position-state.ts';

/** What the onset of a dropout is judged by. */
export interface OnsetContext {
  readonly site: SiteTrack;
  /** Losses of the sensor with doubtful samples taken as information. */
  readonly runs: readonly LossRun[];
  readonly channels: readonly Channel[];
  readonly events: readonly CaseEvent[];
  /** When a cuff pressure was measured. */
  readonly cuffInstants: readonly number[];
  readonly caseEndMs: number;
  readonly parameters: AnalysisParameters;
}

/** The patterns of one dropout and the figures behind them. */
export interface JudgedOnset {
  readonly patterns: readonly OnsetPattern[];
  readonly evidence: OnsetEvidence;
}

/**
 * Returns, for each dropout of a sensor, every onset pattern whose rule holds and the figures behind all of them.
 * Shape   in the order of the dropouts; patterns in the order of `ONSET_PATTERNS`.
 * Missing what a record does not hold decides nothing: without perfusion index neither fading nor abrupt is claimed. A
 *         tourniquet counts only where its event names the sensor's site: on which limb it was is otherwise not known.
 * Source  analysis-spec 6; docs/methods/onset-patterns.md. Evidence for a reviewer, not a verdict.
 */
export function judgeOnsets(dropouts: readonly BareDropout[], context: OnsetContext): JudgedOnset[] {
  const { site, runs, channels, events, parameters } = context;
  const cuffs = cuffEvidence(dropouts, context.cuffInstants, parameters);
  return dropouts.map((dropout, i) => {
    const { lastGoodMs } = dropout;
    const evidence: OnsetEvidence = {
      perfusion: perfusionCourse(site, lastGoodMs, events, parameters),
      cuff: cuffs[i] ?? null,
      unsteady: unsteadiness(site, runs, lastGoodMs, parameters),
      temperature: coreTemperature(channels, lastGoodMs),
      plannedBy: events.filter((event) => isPlanned(dropout, event, context)).map((event) => event.eventId),
    };
    return { patterns: patternsOf(dropout, evidence, parameters), evidence };
  });
}

function patternsOf(dropout: BareDropout, evidence: OnsetEvidence, parameters: AnalysisParameters): OnsetPattern[] {
  const patterns: OnsetPattern[] = [];
  if (isFading(evidence.perfusion, parameters)) patterns.push('fading');
  if (isAbrupt(evidence.perfusion, parameters)) patterns.push('abrupt');
  if (evidence.cuff !== null && evidence.cuff.alike >= parameters.cuffMinDropouts) patterns.push('cuff');
  if (isUnsteady(evidence.unsteady, parameters)) patterns.push('unsteady');
  if (evidence.temperature !== null && evidence.temperature.celsius < parameters.coldBelowC) patterns.push('cold');
  if (dropout.recordGapMs.high > 0) patterns.push('record gap');
  if (evidence.plannedBy.length > 0) patterns.push('planned');
  return patterns;
}

function isPlanned(dropout: BareDropout, event: CaseEvent, { site: { site }, events, caseEndMs, parameters }: OnsetContext): boolean {
  const softMs = parameters.handTimeS * 1000;
  const beganBy = event.atMs <= dropout.firstLostMs + softMs;
  switch (event.kind) {
    case 'bypass':
    case 'cross-clamp':
    case 'tourniquet': {
      if (event.phase === 'end' || (event.kind === 'tourniquet' && event.site !== site)) return false;
      const endMs = plainStateEnd(event, events, caseEndMs) ?? event.atMs;
      return beganBy && endMs >= dropout.lastGoodMs;
    }
    case 'sensor off':
    case 'sensor moved':
      return beganBy && event.atMs >= dropout.lastGoodMs - softMs && (event.site === null || event.site === site);
    default:
      return false;
  }
}
