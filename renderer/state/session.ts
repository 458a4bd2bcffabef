import type { MadeBundle, MadeSheets } from '../../core/protocol/report-api.ts';
import type { Paper } from '../../core/model/report-document.ts';
import type { CohortOptions } from '../../core/model/cohort-options.ts';
import { createContext, useContext } from 'react';
import { sameParameters } from '../../core/model/same-parameters.ts';
import type { HostDescription, MadeReport } from '../../core/protocol/host-api.ts';
import { createDefinitions, type DefinitionsStore } from './definitions.ts';
import type { Disagreement } from '../../core/model/disagreement.ts';
import type { AgreementOptions, ReviewAgreement } from '../../core/model/review-agreement.ts';
import type { CasesLeftOut } from '../../core/protocol/review-exchange-api.ts';
import type { HostConnection } from '../host/host-client.ts';
import { createImportSession, type ImportSession } from './import-session.ts';
import { createMappingDesk, type MappingDesk } from './mapping-desk.ts';
import { createSavedMappings, type SavedMappings } from './saved-mappings.ts';
import { createKeeping, type KeepingStore } from './keeping.ts';
import { createLibrary, type LibraryStore } from './library.ts';
import { createLedger, type LedgerStore } from './ledger.ts';
import { createMessages, type MessageStore } from './messages.ts';
import { createReportSetting, type ReportSettingStore } from './report-setting.ts';
import { createLaneChoice, type LaneChoiceStore } from './lane-choice.ts';
import { createCaseList, type CaseListStore } from './case-list.ts';
import { createChosenCases, type ChosenCases } from './chosen-cases.ts';
import { createConfirmedSums, type ConfirmedSumsStore } from './confirmed-sums.ts';
import { createCaseReview, ownVerdict, type CaseReviewStore } from './case-review.ts';
import { createCohortRun, type CohortRun } from './cohort-run.ts';
import { createCaseStore, type CaseStore, type DecodeCase, type ExtentOf } from './open-case.ts';
import { createPreferences, readingOf, type PreferenceStore } from './preferences.ts';
import { describeProblem, problemText } from './problem.ts';
import { createProtocols, type ProtocolsStore } from './protocols.ts';
import { createQualityCharts, type QualityCharts } from './quality-charts.ts';
import type { MeetingPart } from './meeting-parts.ts';
import type { ReviewPart } from './review-parts.ts';
import { createReviewExchangeStore, type ReviewExchangeStore } from './review-exchange.ts';
import { createReviewQueue, nextUnread, placeInQueue, type ReviewQueueStore } from './review-queue.ts';
import { createReviewStates, type ReviewStatesStore } from './review-states.ts';
import { createReviewTrail, type ReviewTrailStore } from './review-trail.ts';
import { createReviewWork, type ReviewWork } from './review-work.ts';
import { createSiteCohort, type SiteCohortStore } from './site-cohort.ts';
import { findDropout, NOTHING_SELECTED } from './selection.ts';
import { createStore, type ReadableStore, type Store } from './store.ts';
import { createStories, type StoriesStore } from './stories.ts';
import { createActions, type ActionsStore } from './actions.ts';
import type { ActionOrigin } from '../../core/model/action.ts';
import type { PlannedStudy } from '../../core/model/next-study.ts';
import { createStoryCases, type StoryCasesStore } from './story-cases.ts';
import { createPresentation, type PresentationStore } from './presentation.ts';
import { createTrial, type TrialStore } from './trial.ts';
import { createVerdictDrafts, type VerdictDrafts } from './verdict-drafts.ts';
import { underName } from './under-name.ts';
import { createWorkOverCases, type WorkOverCases } from './work-over-cases.ts';

export const PLACES = ['library', 'case', 'sites', 'cohort', 'review', 'meeting', 'import', 'definitions', 'about'] as const;
/** `keeping`: how the library itself is kept, which is reached from its name. */
export type Place = (typeof PLACES)[number] | 'keeping';

/** Which part of an open case is shown. */
export type CasePart = 'timeline' | 'sites' | 'compare';

export const IMPORT_PARTS = ['import', 'case list', 'ledger'] as const;
export type ImportPart = (typeof IMPORT_PARTS)[number];

export const COHORT_PARTS = ['questions', 'quality charts', 'next study'] as const;
export type CohortPart = (typeof COHORT_PARTS)[number];

/** A moment whose view is taken anew in the open case. */
export interface Retaking {
  readonly storyId: string;
  readonly momentId: string;
  readonly title: string;
}

/** How far readers agree, as one reader may see it. */
export interface AgreementQuestion {
  readonly options: AgreementOptions;
  readonly by: string | null;
  readonly blinded: boolean;
}

/** The owners of what this window shows, joined. Each subject has its own store; this only hands them on. */
export interface Session {
  readonly host: HostConnection;
  readonly decode: DecodeCase;
  readonly place: Store<Place>;
  readonly library: LibraryStore;
  readonly keeping: KeepingStore;
  readonly cases: CaseStore;
  readonly casePart: Store<CasePart>;
  /** The name of another case that the open one is compared with. */
  readonly comparedCase: Store<string | null>;
  /** The lanes of the timeline. */
  readonly lanes: LaneChoiceStore;
  /** What is printed on everything that leaves. */
  readonly reportSetting: ReportSettingStore;
  readonly chosen: ChosenCases;
  readonly siteCohort: SiteCohortStore;
  readonly cohort: CohortRun;
  readonly quality: QualityCharts;
  /** Which part of the cohort place is shown. */
  readonly cohortPart: Store<CohortPart>;
  readonly imports: ImportSession;
  readonly mappings: SavedMappings;
  /** The file of the import whose reading is being settled. */
  readonly desk: MappingDesk;
  /** Which part of the import place is shown. */
  readonly importPart: Store<ImportPart>;
  readonly ledger: LedgerStore;
  /** A list of cases held against the library. */
  readonly caseList: CaseListStore;
  readonly studyPlan: WorkOverCases<Omit<Parameters<HostConnection['planStudy']>[0], 'jobId'>, PlannedStudy>;
  readonly protocols: ProtocolsStore;
  /** What was said of the open case. */
  readonly review: CaseReviewStore;
  /** What is confirmed of the open case, beside what was computed. */
  readonly confirmedSums: ConfirmedSumsStore;
  readonly reviewStates: ReviewStatesStore;
  readonly reviewQueue: ReviewQueueStore;
  readonly reviewTrail: ReviewTrailStore;
  /** How far two readers agree. */
  readonly reviewAgreement: ReviewWork<AgreementQuestion, { readonly agreement: ReviewAgreement; readonly hidden: number; readonly leftOut: CasesLeftOut }>;
  readonly disagreements: ReviewWork<{ readonly by: string | null; readonly blinded: boolean }, { readonly disagreements: readonly Disagreement[]; readonly hidden: number; readonly leftOut: CasesLeftOut }>;
  readonly reviewExchange: ReviewExchangeStore;
  /** Says that something was said of cases elsewhere than at the open one. */
  reviewsChanged(): void;
  /** Which part of the review place is shown. */
  readonly reviewPart: Store<ReviewPart>;
  /** What is told at meetings. */
  readonly stories: StoriesStore;
  /** What meetings and reports asked for. */
  readonly actions: ActionsStore;
  /** The cases of the story in sight. */
  readonly storyCases: StoryCasesStore;
  /** The moment that is edited: its id. */
  readonly chosenMoment: Store<string | null>;
  readonly retaking: Store<Retaking | null>;
  readonly presentation: PresentationStore;
  /** Whether a moment of the open case is being collected. */
  readonly isCollecting: Store<boolean>;
  /** What is made of many cases: the report of a department, and the research bundle. */
  readonly reports: {
    readonly department: WorkOverCases<{ readonly caseKeys: readonly string[] | null; readonly options: CohortOptions; readonly paper: Paper }, MadeReport>;
    readonly sheets: WorkOverCases<{ readonly caseKeys: readonly string[]; readonly paper: Paper; readonly relativeTime: boolean }, MadeSheets>;
    readonly bundle: WorkOverCases<Omit<Parameters<HostConnection['researchBundle']>[0], 'jobId'>, MadeBundle>;
  };
  /** Which part of the meeting place is shown. */
  readonly meetingPart: Store<MeetingPart>;
  /** Verdicts that are not saved. */
  readonly drafts: VerdictDrafts;
  readonly definitions: DefinitionsStore;
  readonly trial: TrialStore;
  readonly preferences: PreferenceStore;
  readonly messages: MessageStore;
  readonly description: ReadableStore<HostDescription | null>;
  /** The day of this computer's calendar, `YYYY-MM-DD`. */
  today(): string;
  /** Goes to the actions with the form of a new one that comes from there. */
  writeAction(origin: ActionOrigin): void;
  /** Goes to an action. */
  openAction(actionId: string): void;
  /** Opens a case and goes to its screen, to the timeline unless another part is asked for. */
  openCase(caseKey: string, part?: CasePart): void;
  /** Opens a case at one of its dropouts, with the form for a verdict. */
  openDropout(caseKey: string, dropoutId: string): void;
  /** Goes to the next dropout of the queue that is not read, after the one that is chosen; says so where there is none. */
  nextInQueue(): void;
  /** Reads the open case again after it was changed. */
  reloadCase(): Promise<void>;
  /** Locks an encrypted library; says so where it cannot be locked at this moment. */
  lock(): void;
  start(): void;
  dispose(): void;
}

export interface SessionParts {
  readonly host: HostConnection;
  readonly decode: DecodeCase;
  readonly extentOf: ExtentOf;
  readonly storage: Pick<Storage, 'getItem' | 'setItem'> | null;
  /** Where verdicts that are not saved outlive a reload of the page; gone with the window. */
  readonly draftStorage: Pick<Storage, 'getItem' | 'setItem'> | null;
}

/** Returns the session of one window over `host`. */
export function createSession({ host, decode, extentOf, storage, draftStorage }: SessionParts): Session {
  const preferences = createPreferences(storage);
  const named = underName(host, () => preferences.get().reader);
  const place = createStore<Place>('library');
  const library = createLibrary(named);
  const keeping = createKeeping(host);
  const cases = createCaseStore(host, decode, extentOf);
  const casePart = createStore<CasePart>('timeline');
  const chosen = createChosenCases();
  const siteCohort = createSiteCohort(host, newJobId);
  const cohort = createCohortRun(host, newJobId);
  const quality = createQualityCharts(host, newJobId);
  const definitions = createDefinitions(named);
  const messages = createMessages();
  const lanes = createLaneChoice(host, (problem) => messages.add('problem', problemText(problem)));
  const reportSetting = createReportSetting(host, (problem) => messages.add('problem', problemText(problem)));
  const description = createStore<HostDescription | null>(null);
  const desk = createMappingDesk((file, rules, atLine) => imports.preview(file, rules, atLine));
  const imports = createImportSession(named, () => void library.reload());
  const ledger = createLedger(host);
  const caseList = createCaseList(host);
  const studyPlan = createWorkOverCases({
    host, newJobId, cancelAtHost: (jobId) => host.cancelStudy({ jobId }), progress: 'study-progress', doing: 'Planning the study',
    makeIt: (jobId, args: Omit<Parameters<HostConnection['planStudy']>[0], 'jobId'>) => host.planStudy({ jobId, ...args }),
  });
  const reportWork = <A, T>(doing: string, makeIt: (jobId: string, args: A) => Promise<T>): WorkOverCases<A, T> =>
    createWorkOverCases({ host, newJobId, cancelAtHost: (jobId) => host.cancelReportWork({ jobId }), progress: 'cohort-progress', doing, makeIt });
  const reports = {
    department: reportWork('Making the report', async (jobId, { paper, ...over }: { readonly caseKeys: readonly string[] | null; readonly options: CohortOptions; readonly paper: Paper }) => {
      const { confidentialityText } = await host.getReportSetting();
      const shown = preferences.get();
      return await host.departmentReport({ jobId, ...over, wishes: { header: confidentialityText, paper, relativeTime: false }, view: { by: shown.reader, blinded: readingOf(shown).isBlinded } });
    }),
    sheets: reportWork('Making the sheets', async (jobId, { caseKeys, paper, relativeTime }: { readonly caseKeys: readonly string[]; readonly paper: Paper; readonly relativeTime: boolean }) => {
      const { confidentialityText } = await host.getReportSetting();
      const shown = preferences.get();
      return await host.caseSheets({ jobId, caseKeys, wishes: { header: confidentialityText, paper, relativeTime }, view: { by: shown.reader, blinded: readingOf(shown).isBlinded } });
    }),
    bundle: reportWork('Making the bundle', (jobId, args: Omit<Parameters<HostConnection['researchBundle']>[0], 'jobId'>) => host.researchBundle({ jobId, ...args })),
  };
  const stories = createStories(host, newJobId);
  const meetingPart = createStore<MeetingPart>('stories');
  const actions = createActions(named, newJobId, localDay);
  const storyCases = createStoryCases(host, decode);
  const reviewStates = createReviewStates(host, preferences);
  const reviewQueue = createReviewQueue(host, newJobId);
  const reviewTrail = createReviewTrail(host, preferences);
  const review = createCaseReview(host, preferences, (written) => {
    void reviewStates.reload();
    void reviewTrail.refresh();
    const { caseKey, reader, dropoutId } = written;
    const state = review.get();
    if (dropoutId !== null && state.kind === 'ready' && state.caseKey === caseKey) reviewQueue.mark(reader, caseKey, dropoutId, ownVerdict(state.review, dropoutId, reader) !== null);
  }, Date.now);
  const confirmedSums = createConfirmedSums(host, preferences);
  const reviewsChanged = (): void => {
    void review.reload();
    void confirmedSums.reload();
    void reviewStates.reload();
    void reviewTrail.refresh();
  };
  const reviewAgreement = createReviewWork(host, newJobId, 'Working out the agreement', (jobId, asked: AgreementQuestion) => host.reviewAgreement({ jobId, ...asked }));
  const disagreements = createReviewWork(host, newJobId, 'Listing disagreements', (jobId, view: { readonly by: string | null; readonly blinded: boolean }) => host.listDisagreements({ jobId, ...view }));
  const viewNow = (): string => JSON.stringify([preferences.get().reader, readingOf(preferences.get()).isBlinded]);
  let lastView = viewNow();
  const stopWatchingReader = preferences.subscribe(() => {
    if (viewNow() === lastView) return;
    lastView = viewNow();
    reviewAgreement.forget();
    disagreements.forget();
    void reviewTrail.readAnew();
    // Both hold what the one who made them may see.
    reports.department.forget();
    reports.sheets.forget();
  });
  // A report holds the text that was printed on everything when it was made.
  const stopWatchingSetting = reportSetting.subscribe(() => {
    reports.department.forget();
    reports.sheets.forget();
  });
  const reviewExchange = createReviewExchangeStore(host, newJobId, reviewsChanged);
  // What lies encrypted is not written beside it in the clear: a note then lasts as long as the page.
  const drafts = createVerdictDrafts(draftStorage, () => description.get()?.lock === null);

  let stopFollowingCase = (): void => undefined;
  const stopShowing = cases.subscribe(() => {
    const state = cases.get();
    review.follow(state.kind === 'open' ? state.openCase.caseKey : null);
    stopFollowingCase();
    stopFollowingCase = () => undefined;
    if (state.kind !== 'open') {
      confirmedSums.follow(null);
      return;
    }
    const { caseKey, analysis } = state.openCase;
    const followSums = (): void => confirmedSums.follow({ caseKey, parameters: analysis.get().parameters });
    stopFollowingCase = analysis.subscribe(followSums);
    followSums();
  });

  /** The open case follows the definitions on trial, also when it is opened after they were changed. */
  const followDefinitions = (): void => {
    const state = cases.get();
    if (state.kind !== 'open') return;
    const { draft } = definitions.get();
    const isWorking = state.openCase.recomputing.get().kind !== 'idle';
    if (isWorking || !sameParameters(state.openCase.analysis.get().parameters, draft)) void state.openCase.analyzeWith(draft);
  };

  // A file can be laid out only while its import is at hand.
  const stopWatching = imports.subscribe(() => {
    if (imports.get().kind !== 'report') desk.close();
  });

  /** Forgets what was worked out over cases: it would be of others, or of other verdicts. */
  const forgetFigures = (): void => {
    for (const work of [siteCohort, cohort, reports.department, reports.bundle, reports.sheets, studyPlan]) work.forget();
  };
  const stopListening = host.onEvent((event) => {
    if (event.kind === 'library-changed') {
      forgetFigures();
      void quality.refresh();
      void stories.refresh();
      void actions.refresh();
      storyCases.refresh();
      void library.reload();
      void ledger.refresh();
      void caseList.refresh();
      void review.reload();
      void confirmedSums.reload();
      void reviewStates.reload();
      void reviewQueue.refresh();
      void reviewTrail.refresh();
    }
    // A flag may leave a case out, and a verdict may be counted.
    if (event.kind === 'reviews-changed') {
      const open = cases.get();
      // Another window may have said it, or a file of reviews may have come in.
      if (open.kind === 'open' && (event.caseKey === null || event.caseKey === open.openCase.caseKey)) void review.reload();
      void reviewStates.reload();
      void reviewTrail.refresh();
      void confirmedSums.reload();
      // That a report was saved, or its sheets were looked at, takes nothing away of what was made.
      if (event.figuresStay !== true) forgetFigures();
    }
    if (event.kind === 'worker-lost') messages.add('problem', event.message);
  });

  let lastDraft = definitions.get().draft;
  const stopFollowing = definitions.subscribe(() => {
    const { draft } = definitions.get();
    if (draft === lastDraft) return;
    lastDraft = draft;
    followDefinitions();
  });

  const openDropout = (caseKey: string, dropoutId: string): void => {
    casePart.set('timeline');
    place.set('case');
    preferences.change({ isVerdictFormOpen: true });
    const choose = (): void => {
      const state = cases.get();
      if (state.kind !== 'open' || state.openCase.caseKey !== caseKey) return;
      if (findDropout(state.openCase.analysis.get(), dropoutId) === undefined) messages.add('note', 'That dropout is not among those of today: the case or its definition changed. Draw the queue again.');
      else state.openCase.select({ kind: 'dropout', dropoutId });
    };
    const state = cases.get();
    if (state.kind === 'open' && state.openCase.caseKey === caseKey) choose();
    else {
      void cases.open(caseKey).then(() => {
        choose();
        if (definitions.get().saved !== null) followDefinitions();
      });
    }
  };

  return {
    host: named,
    lock() {
      host.lockLibrary().catch((error: unknown) => messages.add('problem', problemText(describeProblem(error, 'Locking the library'))));
    },
    decode,
    place,
    library,
    keeping,
    cases,
    casePart,
    comparedCase: createStore<string | null>(null),
    lanes,
    reportSetting,
    chosen,
    siteCohort,
    cohort,
    quality,
    cohortPart: createStore<CohortPart>('questions'),
    imports,
    mappings: createSavedMappings(host),
    desk,
    importPart: createStore<ImportPart>('import'),
    ledger,
    caseList,
    studyPlan,
    protocols: createProtocols(host),
    review,
    confirmedSums,
    reviewStates,
    reviewQueue,
    reviewTrail,
    reviewAgreement,
    disagreements,
    reviewExchange,
    reviewsChanged,
    reviewPart: createStore<ReviewPart>('queue'),
    stories,
    actions,
    storyCases,
    chosenMoment: createStore<string | null>(null),
    retaking: createStore<Retaking | null>(null),
    presentation: createPresentation(Date.now),
    isCollecting: createStore(false),
    meetingPart,
    reports,
    drafts,
    definitions,
    trial: createTrial(host),
    preferences,
    messages,
    description,
    today: localDay,
    writeAction(origin) {
      meetingPart.set('actions');
      place.set('meeting');
      if (actions.get().actions === null) void actions.load();
      actions.startNew(origin);
    },
    openAction(actionId) {
      meetingPart.set('actions');
      place.set('meeting');
      if (actions.get().actions === null) void actions.load();
      actions.open(actionId);
    },
    openCase(caseKey, part = 'timeline') {
      casePart.set(part);
      place.set('case');
      const state = cases.get();
      if (state.kind === 'open' && state.openCase.caseKey === caseKey) return;
      void cases.open(caseKey).then(() => {
        if (definitions.get().saved !== null) followDefinitions();
      });
    },
    openDropout,
    nextInQueue() {
      const state = reviewQueue.get();
      if (state.kind !== 'ready') {
        messages.add('note', 'There is no queue yet: draw one in the place Review.');
        return;
      }
      const opened = cases.get();
      const selection = opened.kind === 'open' ? opened.openCase.selection.get() : NOTHING_SELECTED;
      const at = opened.kind === 'open' && selection.kind === 'dropout' ? placeInQueue(state.queue, opened.openCase.caseKey, selection.dropoutId) : -1;
      const next = nextUnread(state.queue, at);
      if (next === null) messages.add('note', 'Every other dropout of the queue is read.');
      else openDropout(next.caseKey, next.dropoutId);
    },
    async reloadCase() {
      await cases.reload();
      if (definitions.get().saved !== null) followDefinitions();
    },
    start() {
      void library.reload();
      void reviewStates.reload();
      void keeping.load();
      void definitions.load();
      void lanes.load();
      void reportSetting.load();
      host.describe().then(
        (answer) => description.set(answer),
        (error: unknown) => messages.add('problem', problemText(describeProblem(error, 'Reaching the program behind this window'))),
      );
    },
    dispose() {
      stopListening();
      stopFollowing();
      stopWatching();
      stopShowing();
      stopFollowingCase();
      stopWatchingReader();
      stopWatchingSetting();
      confirmedSums.dispose();
      review.dispose();
      reviewStates.dispose();
      reviewQueue.dispose();
      reviewAgreement.dispose();
      disagreements.dispose();
      reviewExchange.dispose();
      imports.dispose();
      siteCohort.dispose();
      studyPlan.dispose();
      void caseList.close();
      cohort.dispose();
      reports.department.dispose();
      reports.bundle.dispose();
      reports.sheets.dispose();
      quality.dispose();
      actions.dispose();
      cases.close();
    },
  };
}

/** Returns the day of this computer's calendar, `YYYY-MM-DD`. */
function localDay(): string {
  const now = new Date();
  return `${now.getFullYear()}-${String(now.getMonth() + 1).padStart(2, '0')}-${String(now.getDate()).padStart(2, '0')}`;
}

/** Returns a name for work of the host that no other work has. */
function newJobId(): string {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, '0')).join('');
}

export const SessionContext = createContext<Session | null>(null);

/** Returns the session of this window. Throws outside of it (our bug). */
export function useSession(): Session {
  const session = useContext(SessionContext);
  if (session === null) throw new Error('no session around this component');
  return session;
}
