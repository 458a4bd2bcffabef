import type { DurationMs } from '../../core/base/brand.ts';
import type { Interval } from '../../core/base/interval.ts';
import type { Result } from '../../core/base/result.ts';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import type { HostConnection } from '../host/host-client.ts';
import { createCaseMarks, type CaseMarksStore } from './case-marks.ts';
import { createNewest, delay } from './newest.ts';
import { describeProblem, type Problem } from './problem.ts';
import { allDropouts, findDropout, keepSelection, neighbourDropout, NOTHING_SELECTED, type Selection } from './selection.ts';
import { createSiteDetail, type SiteDetailStore } from './site-detail.ts';
import { createStore, type ReadableStore, type Store } from './store.ts';
import { createViewport, instantInFocus, type Viewport } from './viewport.ts';

/** Returns the stretch of time that the timeline of a case can show: `timeline/case-extent.ts` in the product. */
export type ExtentOf = (record: CaseRecord, analysis: CaseAnalysis) => Interval;

/** Reads what the host sends for a case: `core/persist/case-bytes.ts` in the product. */
export type DecodeCase = (bytes: Uint8Array) => Result<{ readonly record: CaseRecord; readonly analysis: CaseAnalysis | null }>;

export type Recomputing =
  | { readonly kind: 'idle' }
  | { readonly kind: 'working' }
  | { readonly kind: 'failed'; readonly problem: Problem };

/** Everything scoped to one open case. Made on opening, disposed on closing; nothing of it outlives that. */
export interface OpenCase {
  readonly caseKey: string;
  readonly record: CaseRecord;
  /** The analysis with the library's parameters: what "before" means on the definitions screen. */
  readonly baseline: ReadableStore<CaseAnalysis>;
  readonly analysis: ReadableStore<CaseAnalysis>;
  readonly recomputing: ReadableStore<Recomputing>;
  readonly selection: ReadableStore<Selection>;
  readonly viewport: Viewport;
  /** Whether what cannot be excluded is drawn in its timeline. */
  readonly boundShown: Store<boolean>;
  /** What a person marked in it. */
  readonly marks: CaseMarksStore;
  /** Its sensors over time. */
  readonly siteDetail: SiteDetailStore;
  select(selection: Selection): void;
  /** Brings a time into the window and puts the cursor at its start; chooses nothing. */
  show(interval: Interval): void;
  /** Shows so much on either side of the cursor, or of what is chosen where the cursor is out of sight. */
  showAround(halfMs: DurationMs): void;
  /** Chooses the next (1) or previous (−1) dropout of any site. Returns false at either end. */
  step(step: 1 | -1): boolean;
  /** Analyses again with `parameters` after a short wait; a newer call overtakes an older one. */
  analyzeWith(parameters: AnalysisParameters): Promise<void>;
  /** Makes the present analysis the one that later changes are compared with. */
  acceptAsBaseline(): void;
  dispose(): void;
}

/** The wait before a new analysis, so that typing a number does not start one for every digit. */
const ANALYZE_WAIT_MS = 250;
/** Time shown on either side of a chosen thing: its own length, but at least this and at most ten minutes. */
const SHOWN_AROUND_MS = 120_000;
const MOST_SHOWN_AROUND_MS = 600_000;

/** Returns the stretch of the case that a selection names, or null when nothing is selected. */
export function selectedInterval(selection: Selection, analysis: CaseAnalysis): Interval | null {
  switch (selection.kind) {
    case 'none':
      return null;
    case 'dropout': {
      const dropout = findDropout(analysis, selection.dropoutId);
      return dropout === undefined
        ? null
        : { startMs: dropout.lastGoodMs, endMs: dropout.firstGoodMs ?? dropout.censoredAtMs ?? dropout.lastLostMs ?? dropout.firstLostMs };
    }
    case 'blind': {
      const blind = analysis.blind.find((candidate) => candidate.number === selection.number);
      return blind === undefined
        ? null
        : { startMs: blind.lastGoodMs, endMs: blind.firstGoodMs ?? blind.lastLostMs ?? analysis.bounds.endMs };
    }
    case 'record gap': {
      const gap = analysis.recordGaps[selection.index];
      return gap === undefined ? null : { startMs: gap.lastRowMs, endMs: gap.firstRowMs };
    }
    case 'exposure': {
      const exposure = analysis.exposures.find((candidate) => candidate.exposureId === selection.exposureId);
      return exposure === undefined ? null : { startMs: exposure.atMs, endMs: exposure.atMs + (exposure.windowMs ?? 0) };
    }
  }
}

/** Returns a name that nothing else has. */
function newId(): string {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, '0')).join('');
}

export interface OpenCaseParts {
  readonly host: HostConnection;
  readonly caseKey: string;
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis;
  readonly extentOf: ExtentOf;
}

/** Returns an open case around what the host sent. */
export function createOpenCase(parts: OpenCaseParts): OpenCase {
  const { host, caseKey, record, analysis: first } = parts;
  const baseline = createStore(first);
  const analysis = createStore(first);
  const selection = createStore<Selection>(NOTHING_SELECTED);
  const recomputing = createStore<Recomputing>({ kind: 'idle' });
  const viewport = createViewport(parts.extentOf(record, first));
  const newest = createNewest();
  const siteDetail = createSiteDetail(host, caseKey);
  const marks = createCaseMarks({ host, caseKey, origin: record.origin, newId });
  void marks.load();

  const show = (interval: Interval): void => {
    const padding = Math.min(MOST_SHOWN_AROUND_MS, Math.max(SHOWN_AROUND_MS, interval.endMs - interval.startMs));
    viewport.show(interval, padding);
    viewport.setCursorMs(interval.startMs);
  };
  const select = (next: Selection): void => {
    selection.set(next);
    const interval = selectedInterval(next, analysis.get());
    if (interval !== null) show(interval);
  };

  return {
    caseKey,
    record,
    baseline,
    analysis,
    recomputing,
    selection,
    viewport,
    siteDetail,
    boundShown: createStore(false),
    marks,
    select,
    show,
    showAround(halfMs) {
      const atMs = instantInFocus(viewport, selectedInterval(selection.get(), analysis.get()));
      viewport.show({ startMs: atMs, endMs: atMs }, halfMs);
    },
    step(step) {
      const chosen = selection.get();
      const next = neighbourDropout(allDropouts(analysis.get()), chosen.kind === 'dropout' ? chosen.dropoutId : null, step);
      if (next === null) return false;
      select({ kind: 'dropout', dropoutId: next.dropoutId });
      return true;
    },
    async analyzeWith(parameters) {
      recomputing.set({ kind: 'working' });
      try {
        const answer = await newest.run(async (signal) => {
          await delay(ANALYZE_WAIT_MS, signal);
          signal.throwIfAborted();
          return host.analyze({ caseKey, parameters });
        });
        if (answer === null) return;
        analysis.set(answer.value);
        selection.set(keepSelection(selection.get(), answer.value));
        recomputing.set({ kind: 'idle' });
      } catch (error) {
        recomputing.set({ kind: 'failed', problem: describeProblem(error, 'The new analysis') });
      }
    },
    acceptAsBaseline() {
      baseline.set(analysis.get());
    },
    dispose() {
      newest.cancel();
      siteDetail.dispose();
    },
  };
}

export type CaseState =
  | { readonly kind: 'none' }
  | { readonly kind: 'opening'; readonly caseKey: string }
  | { readonly kind: 'open'; readonly openCase: OpenCase }
  | { readonly kind: 'failed'; readonly caseKey: string; readonly problem: Problem };

export interface CaseStore extends ReadableStore<CaseState> {
  /** Opens a case; a newer call overtakes an older one. What was open before is disposed. */
  open(caseKey: string): Promise<void>;
  /** Reads the open case again after it was changed; what is shown stays until the new one is there. */
  reload(): Promise<void>;
  close(): void;
}

/** Returns the owner of the one open case. */
export function createCaseStore(host: HostConnection, decode: DecodeCase, extentOf: ExtentOf): CaseStore {
  const store = createStore<CaseState>({ kind: 'none' });
  const newest = createNewest();
  const disposeCurrent = (): void => {
    const current = store.get();
    if (current.kind === 'open') current.openCase.dispose();
  };
  const fetchCase = async (caseKey: string): Promise<void> => {
    try {
      const answer = await newest.run(async (signal) => {
        const decoded = decode(await host.openCase(caseKey));
        if (!decoded.ok) throw decoded.failure;
        const { record, analysis } = decoded.value;
        if (analysis !== null) return { record, analysis };
        signal.throwIfAborted();
        return { record, analysis: await host.analyze({ caseKey, parameters: await host.getParameters() }) };
      });
      if (answer === null) return;
      disposeCurrent();
      store.set({ kind: 'open', openCase: createOpenCase({ host, caseKey, ...answer.value, extentOf }) });
    } catch (error) {
      disposeCurrent();
      store.set({ kind: 'failed', caseKey, problem: describeProblem(error, 'Opening the case') });
    }
  };
  return {
    get: store.get,
    subscribe: store.subscribe,
    async open(caseKey) {
      disposeCurrent();
      store.set({ kind: 'opening', caseKey });
      await fetchCase(caseKey);
    },
    async reload() {
      const current = store.get();
      if (current.kind === 'open') await fetchCase(current.openCase.caseKey);
    },
    close() {
      newest.cancel();
      disposeCurrent();
      store.set({ kind: 'none' });
    },
  };
}
