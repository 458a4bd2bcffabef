import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { ok } from '../../../../core/base/result.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import type { HostConnection } from '../../../../renderer/host/host-client.ts';
import { createCaseStore, createOpenCase, type OpenCase } from '../../../../renderer/state/open-case.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';
import { buildCaseAnalysis, buildCaseRecord, buildDropout } from '../../../builders/stored-case.ts';
import { parametersWith } from '../../../builders/parameters.ts';

const extentOf = (): { startMs: number; endMs: number } => ({ startMs: 0, endMs: 3_600_000 });
const analysis = buildCaseAnalysis([buildDropout({ dropoutId: 'a', firstLostMs: 2000 }), buildDropout({ dropoutId: 'b', lastGoodMs: 1_799_000, firstLostMs: 1_800_000, lastLostMs: 1_830_000, firstGoodMs: 1_831_000 })]);
const open = (over: Partial<HostConnection> = {}): OpenCase => createOpenCase({ host: buildHostConnection(over), caseKey: 'k', record: buildCaseRecord(), analysis, extentOf });

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

describe('an open case', () => {
  it('moves the timeline to what is chosen, with time on either side', () => {
    const openCase = open();
    openCase.select({ kind: 'dropout', dropoutId: 'b' });
    const shown = openCase.viewport.get();
    expect(shown).toEqual({ startMs: 1_799_000 - 120_000, endMs: 1_831_000 + 120_000 });
    expect(openCase.viewport.getCursorMs()).toBe(1_799_000);
  });

  it('walks from dropout to dropout and says when there is none further', () => {
    const openCase = open();
    expect([openCase.step(1), openCase.step(1), openCase.step(1)]).toEqual([true, true, false]);
    expect(openCase.selection.get()).toEqual({ kind: 'dropout', dropoutId: 'b' });
  });

  it('analyses once for a row of quick changes, with the last of them', async () => {
    const analyze = vi.fn<HostConnection['analyze']>(({ parameters }) => Promise.resolve({ ...analysis, parameters }));
    const openCase = open({ analyze });
    for (const seconds of [6, 60, 601]) void openCase.analyzeWith(parametersWith({ minDurationS: seconds }));
    await vi.runAllTimersAsync();
    expect(analyze).toHaveBeenCalledOnce();
    expect(openCase.analysis.get().parameters.minDurationS).toBe(601);
    expect(openCase.recomputing.get()).toEqual({ kind: 'idle' });
  });

  it('ignores an earlier analysis that answers late', async () => {
    const answers: ((value: typeof analysis) => void)[] = [];
    const openCase = open({ analyze: () => new Promise((resolve) => void answers.push(resolve)) });
    void openCase.analyzeWith(parametersWith({ minDurationS: 10 }));
    await vi.advanceTimersByTimeAsync(300);
    void openCase.analyzeWith(parametersWith({ minDurationS: 60 }));
    await vi.advanceTimersByTimeAsync(300);
    answers[1]?.({ ...analysis, parameters: parametersWith({ minDurationS: 60 }) });
    answers[0]?.({ ...analysis, parameters: parametersWith({ minDurationS: 10 }) });
    await vi.runAllTimersAsync();
    expect(openCase.analysis.get().parameters.minDurationS).toBe(60);
  });

  it('keeps the old figures and says so when an analysis fails', async () => {
    const openCase = open({ analyze: () => Promise.reject(new Error('no worker')) });
    void openCase.analyzeWith(DEFAULT_PARAMETERS);
    await vi.runAllTimersAsync();
    expect(openCase.analysis.get()).toBe(analysis);
    expect(openCase.recomputing.get()).toEqual({ kind: 'failed', problem: { message: 'no worker', remedy: null } });
  });

  it('drops a choice that the new analysis no longer has', async () => {
    const openCase = open({ analyze: () => Promise.resolve(buildCaseAnalysis([])) });
    openCase.select({ kind: 'dropout', dropoutId: 'a' });
    void openCase.analyzeWith(DEFAULT_PARAMETERS);
    await vi.runAllTimersAsync();
    expect(openCase.selection.get()).toEqual({ kind: 'none' });
  });
});

describe('the owner of the open case', () => {
  it('lets the case opened last win, whichever answers first', async () => {
    const answers = new Map<string, (bytes: Uint8Array) => void>();
    const store = createCaseStore(
      buildHostConnection({ openCase: (caseKey) => new Promise((resolve) => void answers.set(caseKey, resolve)) }),
      (bytes) => ok({ record: buildCaseRecord({ caseId: `case ${bytes[0]}` }), analysis }), extentOf,
    );
    const first = store.open('one');
    const second = store.open('two');
    answers.get('two')?.(Uint8Array.of(2));
    answers.get('one')?.(Uint8Array.of(1));
    await Promise.all([first, second]);
    const state = store.get();
    expect(state.kind === 'open' && state.openCase.record.caseId).toBe('case 2');
  });

  it('analyses a case that was stored without an analysis', async () => {
    const store = createCaseStore(buildHostConnection(), () => ok({ record: buildCaseRecord(), analysis: null }), extentOf);
    await store.open('k');
    expect(store.get().kind).toBe('open');
  });

  it('shows a damaged case as failed, with the remedy', async () => {
    const store = createCaseStore(buildHostConnection(), () => ({ ok: false, failure: { code: 'case-damaged', message: 'It is damaged.', remedy: 'Import it again.' } }), extentOf);
    await store.open('k');
    expect(store.get()).toEqual({ kind: 'failed', caseKey: 'k', problem: { message: 'It is damaged.', remedy: 'Import it again.' } });
  });
});
