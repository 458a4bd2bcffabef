import type { CaseEvent, EventKind } from '../../core/model/event.ts';

export interface EventSpec {
  readonly kind: EventKind;
  readonly atS: number;
  readonly term?: string;
  readonly phase?: CaseEvent['phase'];
  readonly text?: string;
  readonly endS?: number;
  readonly manual?: boolean;
  readonly site?: string;
  readonly eventId?: string;
}

/** Returns an event at `atS` seconds; a moment recorded by a device unless said otherwise. */
export function eventOf(spec: EventSpec): CaseEvent {
  const term = spec.term ?? '';
  return {
    eventId: spec.eventId ?? `event:${spec.kind}:${term}:${spec.atS}`,
    kind: spec.kind,
    term,
    phase: spec.phase ?? 'moment',
    text: spec.text ?? (term === '' ? spec.kind : term),
    atMs: spec.atS * 1000,
    endMs: spec.endS === undefined ? null : spec.endS * 1000,
    manual: spec.manual ?? false,
    site: spec.site ?? null,
    source: { sourceIndex: 0, line: 2 },
  };
}
