import type { Guess } from '../model/import-report.ts';
import type { CaseReading, RawDrug, RawEvent } from './reading.ts';

/**
 * Returns the cases of a file of entries with their times marked as typed by hand when all fall on whole minutes; the guess is
 * added to `guesses`. Otherwise the cases as they are.
 */
export function markManual(cases: readonly CaseReading[], guesses: Guess[]): readonly CaseReading[] {
  const all: (RawEvent | RawDrug)[] = cases.flatMap((reading) => [...reading.events, ...reading.drugs]);
  if (all.length === 0 || !all.every((entry) => entry.tMs % 60_000 === 0)) return cases;
  guesses.push({
    field: 'manual',
    taken: all.length === 1 ? 'The time of this entry is taken as typed by hand.' : 'The times of these entries are taken as typed by hand.',
    because: all.length === 1 ? 'the only one falls on a whole minute' : `all ${all.length} of them fall on whole minutes`,
    certainty: 'likely',
    alternatives: [],
  });
  return cases.map((reading) => ({
    ...reading,
    events: reading.events.map((event) => ({ ...event, manual: true })),
    drugs: reading.drugs.map((drug) => ({ ...drug, manual: true })),
  }));
}
