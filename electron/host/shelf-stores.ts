import type { CaseStore } from './case-store.ts';
import type { LibraryShelf } from './library-shelf.ts';
import { buildKeptActions } from './kept-actions.ts';
import { buildKeptBases } from './kept-bases.ts';
import { buildKeptLanes } from './kept-lanes.ts';
import { buildListDecisions } from './kept-list-decisions.ts';
import { buildKeptMarks } from './kept-marks.ts';
import { buildKeptStories } from './kept-stories.ts';
import { buildKeptReportSetting } from './kept-report-setting.ts';
import { buildKeptReviews } from './kept-reviews.ts';
import { buildParameterSets } from './parameter-sets.ts';
import { buildReceivedReviews } from './received-reviews.ts';
import { buildRemovedImports } from './removed-imports.ts';
import { buildReviewKey } from './review-key.ts';
import { buildSavedCharts } from './saved-charts.ts';
import { buildSavedMappings } from './saved-mappings.ts';
import { buildProtocols } from './study-protocols.ts';

/** Returns what a store hands out of its shelf: the same for every kind of library. */
export function buildShelfStores(shelf: LibraryShelf): Pick<CaseStore, 'parameterSets' | 'protocols' | 'listDecisions' | 'qualityCharts' | 'actions' | 'lanes' | 'marks' | 'stories' | 'reportSetting' | 'mappings' | 'reviews' | 'reviewBases' | 'reviewKey' | 'receivedReviews' | 'removedImports'> {
  return {
    parameterSets: buildParameterSets(shelf.document('parameter-sets')),
    protocols: buildProtocols(shelf.document('protocols')),
    listDecisions: buildListDecisions(shelf.document('case-lists')),
    qualityCharts: buildSavedCharts(shelf.document('quality-charts')),
    actions: buildKeptActions(shelf.document('actions')),
    lanes: buildKeptLanes(shelf.document('timeline-lanes')),
    marks: buildKeptMarks(shelf.document('case-marks')),
    stories: buildKeptStories(shelf.document('stories')),
    reportSetting: buildKeptReportSetting(shelf.document('report-setting')),
    mappings: buildSavedMappings(shelf.document('mappings')),
    reviews: buildKeptReviews(shelf.journal('reviews'), shelf.document('trail-head')),
    reviewBases: buildKeptBases(shelf.document('review-bases')),
    reviewKey: buildReviewKey(shelf.document('reviews-key')),
    receivedReviews: buildReceivedReviews(shelf.document('review-exchange'), shelf.journal('received-reviews')),
    removedImports: buildRemovedImports(shelf.document('removed-imports')),
  };
}
