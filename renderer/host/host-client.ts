import { config } from 'zod';
import { HOST_METHODS, envelopeSchema } from '../../core/protocol/host-api-schema.ts';
import type { HostMethod } from '../../core/protocol/host-api-schema.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { HostApi, HostEvent } from '../../core/protocol/host-api.ts';
import { connectDesktop } from './electron-transport.ts';
import { connectLoopback } from './loopback-transport.ts';

// The page's content security policy forbids making code from text, which zod would try for speed.
config({ jitless: true });

/** Told how many bytes of the file the host has taken so far. */
export type StageProgress = (bytesDone: number) => void;

/** What carries calls to the host: one of the two doors. Everything it returns is still unchecked. */
export interface Transport {
  /** Resolves with the raw envelope of the reply; rejects with a FailureError when the host cannot be reached. */
  call(method: string, args: unknown): Promise<unknown>;
  openCase(caseKey: string): Promise<Uint8Array>;
  stageFile(importId: string, relativePath: string, body: Blob, onProgress: StageProgress, signal: AbortSignal | null): Promise<unknown>;
  /** Calls `listener` with every event, already checked; returns the function that stops it. */
  onEvent(listener: (event: HostEvent) => void): () => void;
}

/** The host as the page sees it, whichever door it came through. Failed calls reject with a FailureError. */
export interface HostConnection extends HostApi {
  /** Returns a stored case as bytes for `decodeCase`; they start at a multiple of 8. */
  openCase(caseKey: string): Promise<Uint8Array>;
  /** Hands one chosen file to an import. Aborting rejects with the signal's reason and removes what was staged of it. */
  stageFile(importId: string, relativePath: string, body: Blob, onProgress?: StageProgress, signal?: AbortSignal): Promise<{ readonly byteLength: number }>;
  /** Calls `listener` with every host event; returns the function that stops it. */
  onEvent(listener: (event: HostEvent) => void): () => void;
}

/** Returns the connection of this page: through the desktop program's port where its bridge is there, else to the server it came from. */
export function connectHost(): HostConnection {
  return buildConnection(connectDesktop() ?? connectLoopback());
}

/** Returns the typed host over any transport; every reply is checked against the schema of its call. */
export function buildConnection(transport: Transport): HostConnection {
  return {
    listLedger: () => call(transport, 'listLedger', null),
    openLedger: (args) => call(transport, 'openLedger', args),
    ledgerRows: (args) => call(transport, 'ledgerRows', args),
    matchStaged: (args) => call(transport, 'matchStaged', args),
    describe: () => call(transport, 'describe', null),
    unlockLibrary: (args) => call(transport, 'unlockLibrary', args),
    lockLibrary: () => call(transport, 'lockLibrary', null),
    describeLibrary: () => call(transport, 'describeLibrary', null),
    createLibrary: (args) => call(transport, 'createLibrary', args),
    moveLibrary: (args) => call(transport, 'moveLibrary', args),
    openOtherLibrary: (args) => call(transport, 'openOtherLibrary', args),
    changePassphrase: (args) => call(transport, 'changePassphrase', args),
    setLockAfter: (args) => call(transport, 'setLockAfter', args),
    keepKey: (args) => call(transport, 'keepKey', args),
    listBackups: () => call(transport, 'listBackups', null),
    backUpNow: () => call(transport, 'backUpNow', null),
    restoreBackup: (args) => call(transport, 'restoreBackup', args),
    stayWithFolder: () => call(transport, 'stayWithFolder', null),
    removedImports: () => call(transport, 'removedImports', null),
    forgetRemovedImports: () => call(transport, 'forgetRemovedImports', null),
    shareDefinitions: () => call(transport, 'shareDefinitions', null),
    takeDefinitions: (args) => call(transport, 'takeDefinitions', args),
    listCases: () => call(transport, 'listCases', null),
    beginImport: () => call(transport, 'beginImport', null),
    readBefore: (args) => call(transport, 'readBefore', args),
    runImport: (args) => call(transport, 'runImport', args),
    previewFile: (args) => call(transport, 'previewFile', args),
    listKnownTerms: () => call(transport, 'listKnownTerms', null),
    listMappings: () => call(transport, 'listMappings', null),
    saveMapping: (args) => call(transport, 'saveMapping', args),
    renameMapping: (args) => call(transport, 'renameMapping', args),
    removeMapping: (args) => call(transport, 'removeMapping', args),
    readMapping: (args) => call(transport, 'readMapping', args),
    compareChange: (args) => call(transport, 'compareChange', args),
    decideChanges: (args) => call(transport, 'decideChanges', args),
    endImport: (args) => call(transport, 'endImport', args),
    cancelImport: (args) => call(transport, 'cancelImport', args),
    interruptedImports: () => call(transport, 'interruptedImports', null),
    resumeImport: (args) => call(transport, 'resumeImport', args),
    importSamples: () => call(transport, 'importSamples', null),
    analyze: (args) => call(transport, 'analyze', args),
    caseSheet: (args) => call(transport, 'caseSheet', args),
    getReportSetting: () => call(transport, 'getReportSetting', null),
    saveReportSetting: (args) => call(transport, 'saveReportSetting', args),
    listRelease: (args) => call(transport, 'listRelease', args),
    writeReport: (args) => call(transport, 'writeReport', args),
    writeSheets: (args) => call(transport, 'writeSheets', args),
    departmentReport: (args) => call(transport, 'departmentReport', args),
    researchBundle: (args) => call(transport, 'researchBundle', args),
    caseSheets: (args) => call(transport, 'caseSheets', args),
    cancelReportWork: (args) => call(transport, 'cancelReportWork', args),
    storyDeck: (args) => call(transport, 'storyDeck', args),
    writeDeck: (args) => call(transport, 'writeDeck', args),
    listBundle: (args) => call(transport, 'listBundle', args),
    writeBundle: (args) => call(transport, 'writeBundle', args),
    prepareRobustness: (args) => call(transport, 'prepareRobustness', args),
    siteDetail: (args) => call(transport, 'siteDetail', args),
    compareSites: (args) => call(transport, 'compareSites', args),
    cancelComparison: (args) => call(transport, 'cancelComparison', args),
    cohort: (args) => call(transport, 'cohort', args),
    cancelCohort: (args) => call(transport, 'cancelCohort', args),
    reconcileCaseList: (args) => call(transport, 'reconcileCaseList', args),
    caseListText: (args) => call(transport, 'caseListText', args),
    planStudy: (args) => call(transport, 'planStudy', args),
    cancelStudy: (args) => call(transport, 'cancelStudy', args),
    nextStudyText: (args) => call(transport, 'nextStudyText', args),
    listProtocols: () => call(transport, 'listProtocols', null),
    fixProtocol: (args) => call(transport, 'fixProtocol', args),
    protocolText: (args) => call(transport, 'protocolText', args),
    listQualityCharts: () => call(transport, 'listQualityCharts', null),
    proposeQualityChart: (args) => call(transport, 'proposeQualityChart', args),
    makeQualityChart: (args) => call(transport, 'makeQualityChart', args),
    drawQualityChart: (args) => call(transport, 'drawQualityChart', args),
    editQualityChart: (args) => call(transport, 'editQualityChart', args),
    removeQualityChart: (args) => call(transport, 'removeQualityChart', args),
    unitFunnel: (args) => call(transport, 'unitFunnel', args),
    groupingColumns: (args) => call(transport, 'groupingColumns', args),
    cancelQualityWork: (args) => call(transport, 'cancelQualityWork', args),
    listReviewStates: (view) => call(transport, 'listReviewStates', view ?? null),
    readReview: (args) => call(transport, 'readReview', args),
    confirmedFigures: (args) => call(transport, 'confirmedFigures', args),
    giveVerdict: (args) => call(transport, 'giveVerdict', args),
    takeVerdictBack: (args) => call(transport, 'takeVerdictBack', args),
    placeVerdict: (args) => call(transport, 'placeVerdict', args),
    flagCase: (args) => call(transport, 'flagCase', args),
    markCaseRead: (args) => call(transport, 'markCaseRead', args),
    revealCase: (args) => call(transport, 'revealCase', args),
    giveConsensus: (args) => call(transport, 'giveConsensus', args),
    reviewQueue: (args) => call(transport, 'reviewQueue', args),
    cancelReviewWork: (args) => call(transport, 'cancelReviewWork', args),
    checkTrail: (args) => call(transport, 'checkTrail', args),
    listTrail: (args) => call(transport, 'listTrail', args),
    reviewAgreement: (args) => call(transport, 'reviewAgreement', args),
    agreementTexts: (args) => call(transport, 'agreementTexts', args),
    listDisagreements: (args) => call(transport, 'listDisagreements', args),
    listActions: (args) => call(transport, 'listActions', args),
    addAction: (args) => call(transport, 'addAction', args),
    editAction: (args) => call(transport, 'editAction', args),
    measureAgain: (args) => call(transport, 'measureAgain', args),
    cancelActionWork: (args) => call(transport, 'cancelActionWork', args),
    actionsText: (args) => call(transport, 'actionsText', args),
    reviewExchange: (args) => call(transport, 'reviewExchange', args),
    reviewsOutlook: (args) => call(transport, 'reviewsOutlook', args),
    writeReviews: (args) => call(transport, 'writeReviews', args),
    inspectReviews: (args) => call(transport, 'inspectReviews', args),
    receiveReviews: (args) => call(transport, 'receiveReviews', args),
    settleReviewConflict: (args) => call(transport, 'settleReviewConflict', args),
    proposeClockOffsets: (args) => call(transport, 'proposeClockOffsets', args),
    tryClockOffset: (args) => call(transport, 'tryClockOffset', args),
    setClockOffset: (args) => call(transport, 'setClockOffset', args),
    getLanes: () => call(transport, 'getLanes', null),
    saveLanes: (args) => call(transport, 'saveLanes', args),
    listMarks: (args) => call(transport, 'listMarks', args),
    listShownMarks: (args) => call(transport, 'listShownMarks', args),
    keepMark: (args) => call(transport, 'keepMark', args),
    listStories: () => call(transport, 'listStories', null),
    keepStory: (args) => call(transport, 'keepStory', args),
    removeStory: (args) => call(transport, 'removeStory', args),
    removeMark: (args) => call(transport, 'removeMark', args),
    removeCase: (args) => call(transport, 'removeCase', args),
    getParameters: () => call(transport, 'getParameters', null),
    saveParameters: (args) => call(transport, 'saveParameters', args),
    listParameterSets: () => call(transport, 'listParameterSets', null),
    saveParameterSet: (args) => call(transport, 'saveParameterSet', args),
    removeParameterSet: (args) => call(transport, 'removeParameterSet', args),
    readParameterSet: (args) => call(transport, 'readParameterSet', args),
    openCase: (caseKey) => transport.openCase(caseKey),
    async stageFile(importId, relativePath, body, onProgress, signal) {
      const reply = opened(await transport.stageFile(importId, relativePath, body, onProgress ?? (() => undefined), signal ?? null));
      if (typeof reply !== 'object' || reply === null || !('byteLength' in reply) || typeof reply.byteLength !== 'number') throw garbled('stageFile');
      return { byteLength: reply.byteLength };
    },
    onEvent: (listener) => transport.onEvent(listener),
  };
}

async function call<M extends HostMethod>(transport: Transport, method: M, args: Parameters<(typeof HOST_METHODS)[M]['args']['parse']>[0]): Promise<Awaited<ReturnType<HostApi[M]>>> {
  const schema = HOST_METHODS[method];
  const sent = schema.args.safeParse(args);
  if (!sent.success) throw new FailureError({ code: 'bad-call', message: `The page asked ${method} in a form the host does not take.`, remedy: 'Report this: it is an error inside the program.' });
  const reply = schema.reply.safeParse(opened(await transport.call(method, sent.data)));
  if (!reply.success) throw garbled(method);
  return reply.data;
}

/** Returns the value inside a reply's envelope, or throws the failure that it carries. */
function opened(raw: unknown): unknown {
  const envelope = envelopeSchema.safeParse(raw);
  if (!envelope.success) throw garbled('the host');
  if (!envelope.data.ok) throw new FailureError(envelope.data.failure);
  return envelope.data.value;
}

function garbled(what: string): FailureError {
  return new FailureError({ code: 'bad-reply', message: `The reply of ${what} has a form this page does not know.`, remedy: 'Close the window and start the program again.' });
}
