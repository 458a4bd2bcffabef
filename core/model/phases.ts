import type { Interval } from '../base/interval.ts';
import type { CaseEvent, EventKind } from './event.ts';

/** A part of the anaesthetic between two events of the record. */
export interface Phase extends Interval {
  readonly text: string;
  /** Where there is no room for all: the broken line says that the end is not on record. */
  readonly shortText: string;
  /** Its end is not on record, or is kept back: it is drawn to the end of the case. */
  readonly isOpen: boolean;
}

/**
 * Returns the phases that the events of a case tell: anaesthesia before surgery, surgery, anaesthesia after surgery.
 * Shape    pairwise disjoint, in time order. Of several starts the first counts, of several ends the last.
 * Missing  a phase begins only at a recorded event. One whose end is not on record goes on to `caseEndMs` and says so; where the order of
 *          the events contradicts itself, the phases that it touches are left out. Where what came later is kept back, a phase without an end goes on, and says that.
 */
export function buildPhases(events: readonly CaseEvent[], caseEndMs: number, isLaterKeptBack = false): Phase[] {
  const first = (kind: EventKind): number | null => events.find((event) => event.kind === kind)?.atMs ?? null;
  const last = (kind: EventKind): number | null => events.findLast((event) => event.kind === kind)?.atMs ?? null;
  const begun = first('anaesthesia start');
  const cut = first('surgery start');
  const closed = last('surgery end');
  const over = last('anaesthesia end');
  const phases: Phase[] = [];
  const add = (text: string, shortText: string, startMs: number | null, ends: readonly (number | null)[]): void => {
    if (startMs === null) return;
    const endMs = ends.find((end) => end !== null) ?? null;
    const isOpen = ends[0] === null;
    if ((endMs ?? caseEndMs) > startMs) phases.push({ startMs, endMs: endMs ?? caseEndMs, text: !isOpen ? text : isLaterKeptBack && endMs === null ? `${text}, going on` : `${text}, end not on record`, shortText, isOpen });
  };
  if (cut !== null) add('anaesthesia before surgery', 'before surgery', begun, [cut]);
  else if (closed === null) add('anaesthesia', 'anaesthesia', begun, [over]);
  add('surgery', 'surgery', cut, [closed, over]);
  if (closed !== null && (cut === null || closed > cut)) add('anaesthesia after surgery', 'after surgery', closed, [over]);
  return phases;
}
