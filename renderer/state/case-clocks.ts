import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { ClockComparison } from '../../core/model/clock-comparison.ts';
import type { HostConnection } from '../host/host-client.ts';
import { createNewest } from './newest.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export type Looking =
  | { readonly kind: 'working' }
  | { readonly kind: 'ready'; readonly comparisons: readonly ClockComparison[] }
  | { readonly kind: 'failed'; readonly problem: Problem };

/** What an offset would change, asked for before it is set. */
export type Trial =
  | { readonly kind: 'none' }
  | { readonly kind: 'working'; readonly sourceIndex: number; readonly offsetMs: number }
  | { readonly kind: 'ready'; readonly sourceIndex: number; readonly offsetMs: number; readonly analysis: CaseAnalysis }
  | { readonly kind: 'failed'; readonly problem: Problem };

export type Setting = { readonly kind: 'idle' } | { readonly kind: 'working' } | { readonly kind: 'failed'; readonly problem: Problem };

/** The clocks of one case: what the data say of them, what an offset would change, and setting one. */
export interface CaseClocks {
  readonly looking: ReadableStore<Looking>;
  readonly trial: ReadableStore<Trial>;
  readonly setting: ReadableStore<Setting>;
  /** Asks what the data say, anew after every change. */
  look(): Promise<void>;
  /** Asks what an offset would change; a newer question overtakes an older one. */
  ask(sourceIndex: number, offsetMs: number): Promise<void>;
  forgetTrial(): void;
  /** Sets an offset. Returns whether it is set; the reason why not stands in `setting`. */
  set(sourceIndex: number, offsetMs: number, isProposal: boolean): Promise<boolean>;
  dispose(): void;
}

/** Returns the clocks of the case under `caseKey`; nothing is asked yet. */
export function createCaseClocks(host: Pick<HostConnection, 'proposeClockOffsets' | 'tryClockOffset' | 'setClockOffset'>, caseKey: string): CaseClocks {
  const looking = createStore<Looking>({ kind: 'working' });
  const trial = createStore<Trial>({ kind: 'none' });
  const setting = createStore<Setting>({ kind: 'idle' });
  const newestLook = createNewest();
  const newestTrial = createNewest();
  const forgetTrial = (): void => {
    newestTrial.cancel();
    trial.set({ kind: 'none' });
  };
  return {
    looking,
    trial,
    setting,
    async look() {
      looking.set({ kind: 'working' });
      try {
        const answer = await newestLook.run(() => host.proposeClockOffsets({ caseKey }));
        if (answer !== null) looking.set({ kind: 'ready', comparisons: answer.value });
      } catch (error) {
        looking.set({ kind: 'failed', problem: describeProblem(error, 'Comparing the clocks') });
      }
    },
    async ask(sourceIndex, offsetMs) {
      trial.set({ kind: 'working', sourceIndex, offsetMs });
      try {
        const answer = await newestTrial.run(() => host.tryClockOffset({ caseKey, sourceIndex, offsetMs }));
        if (answer !== null) trial.set({ kind: 'ready', sourceIndex, offsetMs, analysis: answer.value });
      } catch (error) {
        trial.set({ kind: 'failed', problem: describeProblem(error, 'Trying the offset') });
      }
    },
    forgetTrial,
    async set(sourceIndex, offsetMs, isProposal) {
      setting.set({ kind: 'working' });
      forgetTrial();
      try {
        await host.setClockOffset({ caseKey, sourceIndex, offsetMs, isProposal });
        setting.set({ kind: 'idle' });
        return true;
      } catch (error) {
        setting.set({ kind: 'failed', problem: describeProblem(error, 'Setting the clock') });
        return false;
      }
    },
    dispose() {
      newestLook.cancel();
      newestTrial.cancel();
    },
  };
}
