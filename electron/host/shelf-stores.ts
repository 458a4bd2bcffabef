import type { CaseStore } from './case-store.ts';
import type { LibraryShelf } from './library-shelf.ts';
import { buildListDecisions } from './kept-list-decisions.ts';
import { buildParameterSets } from './parameter-sets.ts';
import { buildRemovedImports } from './removed-imports.ts';
import { buildSavedCharts } from './saved-charts.ts';
import { buildSavedMappings } from './saved-mappings.ts';
import { buildProtocols } from './study-protocols.ts';

/** Returns what a store hands out of its shelf: the same for every kind of library. */
export function buildShelfStores(shelf: LibraryShelf): Pick<CaseStore, 'parameterSets' | 'protocols' | 'listDecisions' | 'qualityCharts' | 'mappings' | 'removedImports'> {
  return {
    parameterSets: buildParameterSets(shelf.document('parameter-sets')),
    protocols: buildProtocols(shelf.document('protocols')),
    listDecisions: buildListDecisions(shelf.document('case-lists')),
    qualityCharts: buildSavedCharts(shelf.document('quality-charts')),
    mappings: buildSavedMappings(shelf.document('mappings')),
    removedImports: buildRemovedImports(shelf.document('removed-imports')),
  };
}
