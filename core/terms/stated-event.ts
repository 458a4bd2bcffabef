import dictionary from './dictionary.json' with { type: 'json' };
import type { EventKind } from '../model/event.ts';
import type { ParsedEvent } from './terms.ts';

/** What a person says that a phrase means as an event. */
export interface EventStatement {
  readonly kind: EventKind;
  readonly term?: string | undefined;
  readonly phase?: ParsedEvent['phase'] | undefined;
  readonly site?: string | null | undefined;
}

/** The term of kinds whose term names what it is about; every other kind is its own term. */
const TERM_OF_KIND: Readonly<Partial<Record<EventKind, string>>> = { 'position': 'position changed', 'tourniquet': 'tourniquet up', 'note': '' };

/**
 * Returns the event that a person says a phrase means. Where no phase is stated a term that the dictionary knows as a state
 * begins it, and every other is a moment; where no term is stated the kind's own is taken.
 */
export function statedEvent({ kind, term, phase, site }: EventStatement): ParsedEvent {
  const named = term ?? TERM_OF_KIND[kind] ?? kind;
  const isState = dictionary.eventPatterns.some((pattern) => pattern.kind === kind && pattern.term === named && pattern.phase === 'start') && !dictionary.eventPatterns.some((pattern) => pattern.kind === kind && pattern.term === named && pattern.phase === 'moment');
  return { kind, term: named, phase: phase ?? (isState ? 'start' : 'moment'), site: site ?? null };
}
