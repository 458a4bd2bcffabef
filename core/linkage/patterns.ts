import type { CaseEvent } from '../model/event.ts';
import type { BareDropout } from '../episodes/dropouts.ts';
import { plainStateEnd } from './position-state.ts';

/** What the patterns of a dropout are judged by. */
export interface PatternContext {
  readonly events: readonly CaseEvent[];
  readonly caseEndMs: number;
  readonly site: string;
  /** How far the time of an event can be off, ms. */
  readonly softMs: number;
}

/**
 * Returns the onset patterns whose rule holds, in the order of analysis-spec 6: `record gap`, `planned`.
 * Missing a tourniquet counts only where its event names the sensor's site: on which limb it was is otherwise not known.
 * Source  analysis-spec 6; docs/methods/dropout.md, "Patterns".
 */
export function onsetPatterns(dropout: BareDropout, context: PatternContext): string[] {
  const patterns: string[] = [];
  if (dropout.recordGapMs.high > 0) patterns.push('record gap');
  if (context.events.some((event) => isPlanned(dropout, event, context))) patterns.push('planned');
  return patterns;
}

function isPlanned(dropout: BareDropout, event: CaseEvent, context: PatternContext): boolean {
  const beganBy = event.atMs <= dropout.firstLostMs + context.softMs;
  switch (event.kind) {
    case 'bypass':
    case 'cross-clamp':
    case 'tourniquet': {
      if (event.phase === 'end' || (event.kind === 'tourniquet' && event.site !== context.site)) return false;
      const endMs = plainStateEnd(event, context.events, context.caseEndMs) ?? event.atMs;
      return beganBy && endMs >= dropout.lastGoodMs;
    }
    case 'sensor off':
    case 'sensor moved':
      return beganBy && event.atMs >= dropout.lastGoodMs - context.softMs && (event.site === null || event.site === context.site);
    default:
      return false;
  }
}
