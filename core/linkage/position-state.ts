import dictionary from '../terms/dictionary.json' with { type: 'json' };
import type { CaseEvent } from '../model/event.ts';

/** Positions that exclude one another: a later one of the same group ends the earlier. */
const EXCLUSIVE_POSITIONS: readonly (readonly string[])[] = Object.values(dictionary.positionGroups);

/**
 * Returns when the state that a position event starts comes to its end, or null when it starts none.
 * Shape   `events` in time order. The end is the event's own end, else the next event that ends the same term or names a
 *         position that excludes it, else `caseEndMs`.
 * Units   ms.
 * Missing an event that is only a moment, or that ends a position, starts no state. A term in no group of the dictionary
 *         is ended by its own end only.
 * Source  analysis-spec 7; docs/methods/linkage.md.
 */
export function positionStateEnd(event: CaseEvent, events: readonly CaseEvent[], caseEndMs: number): number | null {
  if (event.phase !== 'start') return null;
  return stateEnd(event, events, caseEndMs, (later) => later.kind === 'position' && endsPosition(event, later));
}

/** Returns when a state such as bypass or tourniquet ends: its own end, the event that ends its kind, or the case's end. */
export function plainStateEnd(event: CaseEvent, events: readonly CaseEvent[], caseEndMs: number): number | null {
  if (event.phase !== 'start') return event.endMs;
  return stateEnd(event, events, caseEndMs, (later) => later.kind === event.kind && later.phase === 'end' && isSamePlace(event, later));
}

function stateEnd(event: CaseEvent, events: readonly CaseEvent[], caseEndMs: number, ends: (later: CaseEvent) => boolean): number {
  if (event.endMs !== null) return event.endMs;
  const ending = events.find((later) => later.atMs > event.atMs && ends(later));
  return Math.max(event.atMs, ending?.atMs ?? caseEndMs);
}

function endsPosition(started: CaseEvent, later: CaseEvent): boolean {
  if (later.term === started.term) return later.phase === 'end';
  return later.phase === 'start' && EXCLUSIVE_POSITIONS.some((row) => row.includes(started.term) && row.includes(later.term));
}

function isSamePlace(a: CaseEvent, b: CaseEvent): boolean {
  return a.site === null || b.site === null || a.site === b.site;
}
