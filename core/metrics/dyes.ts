import type { CaseRecord } from '../model/case.ts';

/** How long a dye can make SpO2 read low, ms. Source: handbook 4 and 13 (30 min methylene blue, 10 min others). */
const METHYLENE_BLUE_MS = 30 * 60_000;
const OTHER_DYE_MS = 10 * 60_000;
const METHYLENE_BLUE = 'methylthioninium chloride';
const DYES: ReadonlySet<string> = new Set([METHYLENE_BLUE, 'indocyanine green', 'indigo carmine', 'isosulfan blue', 'fluorescein']);

/** A dye and how long it can make SpO2 read low. */
export interface DyeSpan {
  readonly id: string;
  readonly startMs: number;
  readonly endMs: number;
}

/** Returns the dyes of a case, from events and from administrations: they explain low values that are false, never a loss. */
export function dyeSpans({ events, drugs }: CaseRecord): DyeSpan[] {
  const lasting = (name: string) => (name === METHYLENE_BLUE || name === 'methylene blue' ? METHYLENE_BLUE_MS : OTHER_DYE_MS);
  return [
    ...events.filter((e) => e.kind === 'dye').map((e) => ({ id: e.eventId, startMs: e.atMs, endMs: e.atMs + lasting(e.term) })),
    ...drugs.flatMap((d) => (d.inn !== null && DYES.has(d.inn) ? [{ id: d.drugId, startMs: d.atMs, endMs: d.atMs + lasting(d.inn) }] : [])),
  ];
}
