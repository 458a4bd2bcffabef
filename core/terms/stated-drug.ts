import { drugEntry, type DrugEntry } from './drug-names.ts';
import { findDrug } from './find-drug.ts';

/**
 * Returns the drug that a person says a phrase means, by its name in any spelling that the dictionary knows. A name that it does
 * not know is taken as it is, in lower case, without ATC code and without a usual bolus.
 * `isVasopressor` undefined: as the dictionary has it, no vasopressor where it has nothing.
 */
export function statedDrug(name: string, isVasopressor: boolean | undefined): DrugEntry {
  const known = findDrug(name).term;
  const entry: DrugEntry = known === null ? { term: { inn: name.trim().toLowerCase(), atc: null, isVasopressor: false, bolus: null, infusionOnly: false }, drugClass: '', atcByRoute: {} } : drugEntry(known.inn);
  return isVasopressor === undefined ? entry : { ...entry, term: { ...entry.term, isVasopressor } };
}
