import type { Exposure } from '../model/analysis.ts';
import type { CaseContext } from './case-context.ts';
import { inOrder } from './case-context.ts';
import type { Column } from './column.ts';
import { recorded, seconds } from './numbers.ts';
import { PARAMETER_SET_COLUMN } from './parameter-set-column.ts';

/** A row of exposures.csv. */
export interface ExposureRow {
  readonly context: CaseContext;
  readonly exposure: Exposure;
}

/** Yields the rows of exposures.csv: of each case in time order, those without a following dropout too. */
export function* exposureRows(contexts: readonly CaseContext[]): Generator<ExposureRow> {
  for (const context of contexts) {
    const inTime = [...context.analysis.exposures].sort((a, b) => a.atMs - b.atMs || inOrder(a.exposureId, b.exposureId));
    for (const exposure of inTime) yield { context, exposure };
  }
}

/** The columns of exposures.csv. */
export const EXPOSURE_COLUMNS: readonly Column<ExposureRow>[] = [
  { name: 'case_id', meaning: 'the case', unit: '', how: 'as in cases.csv', cell: ({ context }) => context.record.caseId },
  { name: 'exposure', meaning: 'kind of what may precede a dropout, or answer it', unit: '', how: '`vasopressor bolus`, `infusion change`, `position`, `bypass`, `cross-clamp`, `tourniquet`, `sensor`, `cuff moved` or `warming`', cell: ({ exposure }) => exposure.kind },
  { name: 'label', meaning: 'drug (international non-proprietary name, lower case) or term', unit: '', how: 'synonyms come out as one, by the dictionary of the program', cell: ({ exposure }) => exposure.label },
  { name: 'dose', meaning: 'dose, or rate of an infusion', unit: 'see unit', type: 'number', how: 'as recorded; empty where none is stated', cell: ({ exposure }) => recorded(exposure.dose) },
  { name: 'unit', meaning: 'unit of the dose, UCUM spelling', unit: '', how: 'as recorded, respelled; improbable units are flagged, never rewritten', cell: ({ exposure }) => exposure.unit },
  { name: 'at', meaning: 'when it took place or began, as an instant', unit: '', how: 'ISO 8601 with offset in the zone of the case; empty where the record has no date', cell: ({ context, exposure }) => context.at(exposure.atMs) },
  { name: 'at_s', meaning: 'when it took place or began', unit: 's', type: 'number', how: 'seconds from the first trend row of the case', cell: ({ exposure }) => seconds(exposure.atMs) },
  { name: 'dropouts_after', meaning: 'number of dropouts linked to it as a preceding exposure', unit: '', type: 'number', how: 'counted over all sites from the certain and possible rows of links.csv; 0 where none followed', cell: ({ exposure }) => exposure.dropoutsAfter },
  { name: 'source_text', meaning: 'the entry as written', unit: '', how: 'from the input; text that a spreadsheet would run has one apostrophe before it', cell: ({ exposure }) => exposure.sourceText },
  { name: 'atc', meaning: 'ATC code of the drug', unit: '', how: 'by the dictionary of the program; empty where it has none', cell: ({ exposure }) => exposure.atc },
  { name: 'end_at', meaning: 'when the state ended, as an instant', unit: '', how: 'the event that ends it, else the end of the case; empty for a momentary exposure', cell: ({ context, exposure }) => context.at(exposure.endMs) },
  { name: 'end_s', meaning: 'when the state ended', unit: 's', type: 'number', how: 'seconds from the first trend row of the case; empty for a momentary exposure', cell: ({ exposure }) => seconds(exposure.endMs) },
  { name: 'window_s', meaning: 'look-back used', unit: 's', type: 'number', how: 'from the parameters; empty for a state, which reaches as far as it lasts', cell: ({ exposure }) => seconds(exposure.windowMs) },
  { name: 'by_hand', meaning: 'whether its time was typed by hand', unit: '', type: 'yes or no', how: '`yes` or `no`', cell: ({ exposure }) => exposure.manual },
  { name: 'flags', meaning: 'what a person should look at', unit: '', how: 'ambiguous name, improbable unit and the like; several parted by ";"', cell: ({ exposure }) => exposure.flags.join(';') },
  { name: 'exposure_id', meaning: 'names the exposure in links.csv', unit: '', how: 'opaque, unique within the case', cell: ({ exposure }) => exposure.exposureId },
  PARAMETER_SET_COLUMN,
];
