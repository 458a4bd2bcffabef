import { QUANTITIES, QUANTITY_FACTS } from '../model/quantity.ts';
import { SITES } from '../model/site.ts';
import { inOrder } from '../report/case-context.ts';
import type { CodeRow } from '../report/codes-table.ts';
import { CODE_COLUMNS } from '../report/codes-table.ts';
import { headingText, rowsText } from '../report/column.ts';
import dictionary from '../terms/dictionary.json' with { type: 'json' };

/**
 * Returns codes.csv: every drug, event, site and quantity that files are read with, by kind, then name, with its codes.
 * Shape   the same version of the program gives the same bytes. Words that a mapping explains are not in it: they stand in parameters.json.
 * Source  the dictionary names its own; RECORD 7.1 asks for such a list.
 */
export function codeListText(): string {
  const rows: CodeRow[] = [...drugs(), ...events(), ...sites(), ...quantities()];
  const sorted = rows.sort((a, b) => inOrder(a.kind, b.kind) || inOrder(a.name, b.name) || inOrder(a.code, b.code) || inOrder(a.writtenAs, b.writtenAs));
  return headingText(CODE_COLUMNS) + rowsText(CODE_COLUMNS, sorted);
}

function* drugs(): Generator<CodeRow> {
  for (const { inn, atc, class: group, isVasopressor, names } of dictionary.drugs) yield { kind: 'drug', name: inn, group: isVasopressor === true ? 'vasopressor' : group, codeSystem: atc === null ? '' : 'ATC', code: atc ?? '', writtenAs: names.join('; ') };
}

function* events(): Generator<CodeRow> {
  const words: Readonly<Record<string, readonly string[]>> = dictionary.eventWords;
  for (const { kind, term, phase, needs } of dictionary.eventPatterns) {
    yield { kind: 'event', name: phase === 'end' ? `${term} ended` : term, group: kind, codeSystem: '', code: '', writtenAs: needs.map((need) => (words[need] ?? [need]).join('; ')).join(' + ') };
  }
}

function* sites(): Generator<CodeRow> {
  const known: Readonly<Record<string, { readonly snomed: string | null; readonly words: readonly string[] }>> = dictionary.sites;
  for (const site of SITES) {
    const entry = known[site];
    if (entry !== undefined) yield { kind: 'site', name: site, group: '', codeSystem: entry.snomed === null ? '' : 'SNOMED CT', code: entry.snomed ?? '', writtenAs: entry.words.join('; ') };
  }
}

function* quantities(): Generator<CodeRow> {
  for (const quantity of QUANTITIES) {
    const { mdc, loinc } = QUANTITY_FACTS[quantity];
    if (mdc !== null) yield { kind: 'quantity', name: quantity, group: '', codeSystem: 'ISO/IEEE 11073-10101', code: String(mdc.code), writtenAs: mdc.refId };
    for (const code of loinc) yield { kind: 'quantity', name: quantity, group: '', codeSystem: 'LOINC', code, writtenAs: '' };
    if (mdc === null && loinc.length === 0) yield { kind: 'quantity', name: quantity, group: '', codeSystem: '', code: '', writtenAs: '' };
  }
}
