import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { EMPTY_COHORT, EMPTY_SITE_DETAIL } from './site-comparison.ts';
import type { HostEvent } from '../../core/protocol/host-api.ts';
import type { HostConnection } from '../../renderer/host/host-client.ts';
import { buildFilePreview } from './file-preview.ts';
import { buildReleaseCalls } from './release-calls.ts';
import { buildReportCalls } from './report-calls.ts';
import { NOTHING_REVIEWED } from './case-review.ts';
import { buildCaseComparison } from './case-comparison.ts';
import { cohortResultsOf } from './cohort-results.ts';
import { buildCaseSummary } from './case-summary.ts';
import { buildLibraryCalls } from './library-calls.ts';
import { buildCaseAnalysis } from './stored-case.ts';

/** A connection whose calls answer with the simplest valid thing, and through which a test can send events. */
export interface TestConnection extends HostConnection {
  send(event: HostEvent): void;
}

/** Returns a connection to no host; `over` replaces single calls. */
export function buildHostConnection(over: Partial<HostConnection> = {}): TestConnection {
  const listeners = new Set<(event: HostEvent) => void>();
  return {
    listLedger: () => Promise.resolve([]),
    openLedger: () => Promise.reject(new Error('no import')),
    ledgerRows: () => Promise.resolve({ rows: [], kept: 0 }),
    matchStaged: () => Promise.resolve({ matched: [], foreign: [], missing: [], overrules: [], zone: null, mapping: null }),
    describe: () => Promise.resolve({ productVersion: '0.0.0-test', door: 'browser', libraryName: 'test', lock: null }),
    unlockLibrary: () => Promise.resolve({ unlocked: true }),
    lockLibrary: () => Promise.resolve({ locked: true }),
    ...buildLibraryCalls(),
    listCases: () => Promise.resolve([]),
    beginImport: () => Promise.resolve({ importId: 'i1' }),
    previewFile: ({ file }) => Promise.resolve(buildFilePreview({ file })),
    listKnownTerms: () => Promise.resolve({ drugs: [{ inn: 'phenylephrine', isVasopressor: true }], events: [{ kind: 'position', term: 'arms tucked' }] }),
    listMappings: () => Promise.resolve([]),
    saveMapping: ({ mapping }) => Promise.resolve([mapping]),
    renameMapping: () => Promise.resolve([]),
    removeMapping: () => Promise.resolve([]),
    readMapping: () => Promise.resolve({ schema: 'lacuna-mapping/1', name: 'read', files: [] }),
    readBefore: () => Promise.resolve([]),
    runImport: ({ importId }) => Promise.resolve({ importId, files: [], rejectedRows: [], rejectedRowsCut: false, cases: [], replaced: [], unchanged: [], changed: [], earlier: [] }),
    compareChange: () => Promise.resolve({ ...buildCaseComparison(), reviews: null }),
    decideChanges: () => Promise.resolve({ changed: [], cases: [] }),
    endImport: () => Promise.resolve({ ended: true }),
    cancelImport: () => Promise.resolve({ cancelled: true }),
    interruptedImports: () => Promise.resolve([]),
    resumeImport: ({ importId }) => Promise.resolve({ importId, files: [], rejectedRows: [], rejectedRowsCut: false, cases: [], replaced: [], unchanged: [], changed: [], earlier: [] }),
    importSamples: () => Promise.resolve({ importId: 'i1', files: [], rejectedRows: [], rejectedRowsCut: false, cases: [], replaced: [], unchanged: [], changed: [], earlier: [] }),
    analyze: ({ parameters }) => Promise.resolve({ ...buildCaseAnalysis(), parameters }),
    ...buildReleaseCalls(),
    caseSheet: ({ wishes }) => Promise.resolve({ document: { title: 'Case sheet', subtitle: 'K1', language: 'en', header: wishes.header, footer: '', paper: wishes.paper, isDense: true, blocks: [] }, html: '<!doctype html>', pdfBase64: 'JVBERg==', pages: 1, notInFont: '' }),
    ...buildReportCalls(),
    prepareRobustness: () => Promise.resolve({ sites: [], blind: { any: { runs: [], inGaps: [] }, good: { runs: [], inGaps: [] } }, gaps: [], exposures: [], caseEndMs: 0, deviceHoldMs: 0, handTimeMs: 120_000, keepRecordGaps: false }),
    siteDetail: () => Promise.resolve(EMPTY_SITE_DETAIL),
    compareSites: () => Promise.resolve(EMPTY_COHORT),
    cancelComparison: () => Promise.resolve({ cancelled: true }),
    cohort: () => Promise.resolve(cohortResultsOf([])),
    cancelCohort: () => Promise.resolve({ cancelled: true }),
    reconcileCaseList: () => Promise.reject(new Error('no list')),
    caseListText: () => Promise.resolve({ text: '' }),
    planStudy: () => Promise.reject(new Error('no study')),
    cancelStudy: () => Promise.resolve({ cancelled: true }),
    nextStudyText: () => Promise.resolve({ text: '' }),
    listProtocols: () => Promise.resolve([]),
    fixProtocol: () => Promise.resolve([]),
    protocolText: () => Promise.resolve({ text: '' }),
    listQualityCharts: () => Promise.resolve([]),
    proposeQualityChart: () => Promise.reject(new Error('no chart')),
    makeQualityChart: () => Promise.reject(new Error('no chart')),
    drawQualityChart: () => Promise.reject(new Error('no chart')),
    editQualityChart: () => Promise.reject(new Error('no chart')),
    removeQualityChart: () => Promise.resolve([]),
    unitFunnel: () => Promise.resolve({ answer: { target: null, units: [], curve: [], phi: null, phiThreshold: null, isWidened: false, leftOut: { notUsable: 0, notChosen: 0, outsidePeriod: 0, withoutUnit: 0 } }, leftOut: [] }),
    groupingColumns: () => Promise.resolve({ answer: [], leftOut: [] }),
    cancelQualityWork: () => Promise.resolve({ cancelled: true }),
    ...NOTHING_REVIEWED,
    reviewAgreement: () => Promise.reject(new Error('no agreement')),
    agreementTexts: () => Promise.resolve({ agreement: '', verdicts: '' }),
    listDisagreements: () => Promise.resolve({ disagreements: [], hidden: 0, leftOut: [] }),
    listActions: () => Promise.resolve([]),
    addAction: () => Promise.reject(new Error('no action')),
    editAction: () => Promise.reject(new Error('no action')),
    measureAgain: () => Promise.reject(new Error('no action')),
    cancelActionWork: () => Promise.resolve({ cancelled: false }),
    actionsText: () => Promise.resolve({ text: '' }),
    reviewExchange: () => Promise.resolve({ ownFingerprint: null, senders: [], files: 0, waiting: [], conflicts: [] }),
    reviewsOutlook: () => Promise.resolve({ cases: 0, entries: 0, verdicts: 0, notes: 0, readers: [], withoutContent: 0, notOwn: 0 }),
    writeReviews: () => Promise.reject(new Error('no reviews')),
    inspectReviews: () => Promise.reject(new Error('no reviews')),
    receiveReviews: () => Promise.reject(new Error('no reviews')),
    settleReviewConflict: () => Promise.reject(new Error('no conflict')),
    proposeClockOffsets: () => Promise.resolve([]),
    tryClockOffset: () => Promise.resolve(buildCaseAnalysis()),
    setClockOffset: ({ caseKey }) => Promise.resolve(buildCaseSummary({ caseKey })),
    getLanes: () => Promise.resolve({ lanes: [] }),
    saveLanes: ({ choice }) => Promise.resolve(choice),
    listMarks: () => Promise.resolve([]),
    listShownMarks: () => Promise.resolve([]),
    keepMark: ({ mark }) => Promise.resolve([mark]),
    removeMark: () => Promise.resolve([]),
    listStories: () => Promise.resolve([]),
    keepStory: ({ story }) => Promise.resolve([{ ...story, revision: story.revision + 1 }]),
    removeStory: () => Promise.resolve([]),
    removeCase: () => Promise.resolve({ removed: true }),
    getParameters: () => Promise.resolve(DEFAULT_PARAMETERS),
    saveParameters: () => Promise.resolve([]),
    listParameterSets: () => Promise.resolve([]),
    saveParameterSet: ({ parameters }) => Promise.resolve([parameters]),
    removeParameterSet: () => Promise.resolve([]),
    readParameterSet: () => Promise.resolve(DEFAULT_PARAMETERS),
    openCase: () => Promise.resolve(new Uint8Array()),
    stageFile: (_importId, _path, body) => Promise.resolve({ byteLength: body.size }),
    onEvent(listener) {
      listeners.add(listener);
      return () => {
        listeners.delete(listener);
      };
    },
    send(event) {
      for (const listener of listeners) listener(event);
    },
    ...over,
  };
}
