import type { Dropout, Exposure, Link, SiteAnalysis } from '../model/analysis.ts';
import type { CaseContext } from './case-context.ts';
import type { Column } from './column.ts';
import { recorded, seconds } from './numbers.ts';
import { PARAMETER_SET_COLUMN } from './parameter-set-column.ts';

/** A row of links.csv: one dropout and one exposure. */
export interface LinkRow {
  readonly context: CaseContext;
  readonly site: SiteAnalysis;
  readonly dropout: Dropout;
  readonly link: Link;
  readonly exposure: Exposure;
}

/** Yields the rows of links.csv: of each dropout what preceded it, nearest first, then what was done during it. */
export function* linkRows(contexts: readonly CaseContext[]): Generator<LinkRow> {
  for (const context of contexts) {
    for (const site of context.sites) {
      for (const dropout of [...site.dropouts].sort((a, b) => a.number - b.number)) {
        for (const link of [...dropout.links, ...dropout.responses]) yield { context, site, dropout, link, exposure: context.exposure(link.exposureId) };
      }
    }
  }
}

/** The columns of links.csv. */
export const LINK_COLUMNS: readonly Column<LinkRow>[] = [
  { name: 'case_id', meaning: 'the case', unit: '', how: 'as in cases.csv', cell: ({ context }) => context.record.caseId },
  { name: 'site', meaning: 'where the sensor sat', unit: '', how: 'as in cases.csv', cell: ({ site }) => site.site },
  { name: 'dropout', meaning: 'number of the dropout', unit: '', type: 'number', how: 'as in dropouts.csv', cell: ({ dropout }) => dropout.number },
  { name: 'exposure', meaning: 'kind of the exposure', unit: '', how: 'as in exposures.csv', cell: ({ exposure }) => exposure.kind },
  { name: 'label', meaning: 'drug (international non-proprietary name) or term of the exposure', unit: '', how: 'as in exposures.csv', cell: ({ exposure }) => exposure.label },
  { name: 'dose', meaning: 'dose, or rate of an infusion', unit: 'see unit', type: 'number', how: 'as in exposures.csv', cell: ({ exposure }) => recorded(exposure.dose) },
  { name: 'unit', meaning: 'unit of the dose, UCUM spelling', unit: '', how: 'as in exposures.csv', cell: ({ exposure }) => exposure.unit },
  { name: 'exposure_at', meaning: 'when the exposure took place or began, as an instant', unit: '', how: 'ISO 8601 with offset in the zone of the case; empty where the record has no date', cell: ({ context, exposure }) => context.at(exposure.atMs) },
  { name: 'exposure_s', meaning: 'when the exposure took place or began', unit: 's', type: 'number', how: 'seconds from the first trend row of the case', cell: ({ exposure }) => seconds(exposure.atMs) },
  { name: 'lead_s', meaning: 'how long before the onset; negative for what was done during the dropout', unit: 's', type: 'number', how: 'middle between last good and first lost − time of the exposure', cell: ({ link }) => seconds(link.leadMs) },
  { name: 'certainty', meaning: '`certain`: the whole onset (last good to first lost) lies in the look-back; `possible`: part of it, or it hangs on less than `handTimeS` of a time typed by hand; `during`: done in the dropout, not before it', unit: '', how: 'association in time, not cause', cell: ({ link }) => link.certainty },
  { name: 'sensor', meaning: 'tells two sensors at one site apart', unit: '', how: 'as in cases.csv', cell: ({ site }) => site.sensor },
  { name: 'atc', meaning: 'ATC code of the drug', unit: '', how: 'as in exposures.csv', cell: ({ exposure }) => exposure.atc },
  { name: 'window_s', meaning: 'look-back used', unit: 's', type: 'number', how: 'from the parameters; empty for a state, which reaches as far as it lasts', cell: ({ exposure }) => seconds(exposure.windowMs) },
  { name: 'by_hand', meaning: 'whether the time of the exposure was typed by hand', unit: '', type: 'yes or no', how: '`yes` or `no`', cell: ({ exposure }) => exposure.manual },
  { name: 'flags', meaning: 'what a person should look at', unit: '', how: 'as in exposures.csv', cell: ({ exposure }) => exposure.flags.join(';') },
  { name: 'exposure_id', meaning: 'the row of exposures.csv', unit: '', how: 'opaque, unique within the case', cell: ({ exposure }) => exposure.exposureId },
  PARAMETER_SET_COLUMN,
];
