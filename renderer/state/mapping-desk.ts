import type { FilePreview } from '../../core/model/file-preview.ts';
import type { ReadingRules } from '../../core/model/mapping.ts';
import { createNewest, delay } from './newest.ts';
import { describeProblem, type Problem } from './problem.ts';
import { sameRules } from './rules-edit.ts';
import { createStore, type ReadableStore } from './store.ts';

/** What is known of the rows under the present rules. */
export interface PreviewState {
  /** The newest preview that arrived; null before the first. */
  readonly shown: FilePreview | null;
  /** The rules have changed since, and the next preview is on its way. */
  readonly isStale: boolean;
  /** Why the newest rules could not be tried; `shown` is then of earlier ones. */
  readonly problem: Problem | null;
}

/** One file under trial. */
export interface MappingTrial {
  readonly file: string;
  readonly rules: ReadingRules;
  /** The line that a person wants to see; null for the first ones. */
  readonly atLine: number | null;
  /** The rules when the file was opened. */
  readonly atStart: ReadingRules;
  readonly preview: PreviewState;
  readonly canUndo: boolean;
  readonly canRedo: boolean;
}

/** Owns the one file whose reading is being settled, with every step of it. */
export interface MappingDesk extends ReadableStore<MappingTrial | null> {
  open(file: string, rules: ReadingRules, atLine?: number | null): void;
  /** Sets new rules; the same ones are no step. Steps with the same `step` name in a row are one (typing a word). */
  change(rules: ReadingRules, step?: string): void;
  undo(): void;
  redo(): void;
  /** Asks once more for the preview that could not be had. */
  retry(): void;
  close(): void;
}

/** Asks for the preview of a file under rules. */
export type AskPreview = (file: string, rules: ReadingRules, atLine: number | null) => Promise<FilePreview>;

/** While a word is being typed it is asked for once it rests so long; a choice is asked for at once. */
const PAUSE_MS = 120;

/** Returns the desk. The newest rules win: a preview that was overtaken is never shown. */
export function createMappingDesk(ask: AskPreview): MappingDesk {
  const store = createStore<MappingTrial | null>(null);
  const newest = createNewest();
  let past: ReadingRules[] = [];
  let future: ReadingRules[] = [];
  let lastStep: string | null = null;

  const look = (pauseMs: number): void => {
    const trial = store.get();
    if (trial === null) return;
    const { file, rules, atLine } = trial;
    const settle = (change: Partial<PreviewState>): void => {
      const now = store.get();
      if (now !== null && now.file === file) store.set({ ...now, preview: { ...now.preview, isStale: false, problem: null, ...change } });
    };
    newest
      .run(async (signal) => {
        await delay(pauseMs, signal);
        signal.throwIfAborted();
        return await ask(file, rules, atLine);
      })
      .then(
        (outcome) => {
          if (outcome !== null) settle({ shown: outcome.value });
        },
        (error: unknown) => settle({ problem: describeProblem(error, 'Trying this out') }),
      );
  };

  const take = (rules: ReadingRules, pauseMs = 0): void => {
    const trial = store.get();
    if (trial === null) return;
    store.set({ ...trial, rules, preview: { ...trial.preview, isStale: true }, canUndo: past.length > 0, canRedo: future.length > 0 });
    look(pauseMs);
  };

  return {
    get: store.get,
    subscribe: store.subscribe,
    open(file, rules, atLine = null) {
      past = [];
      future = [];
      lastStep = null;
      store.set({ file, rules, atLine, atStart: rules, preview: { shown: null, isStale: true, problem: null }, canUndo: false, canRedo: false });
      look(0);
    },
    change(rules, step) {
      const trial = store.get();
      if (trial === null || sameRules(rules, trial.rules)) return;
      if (step === undefined || step !== lastStep) past.push(trial.rules);
      lastStep = step ?? null;
      future = [];
      take(rules, step === undefined ? 0 : PAUSE_MS);
    },
    undo() {
      const trial = store.get();
      const before = past.pop();
      if (trial === null || before === undefined) return;
      future.push(trial.rules);
      lastStep = null;
      take(before);
    },
    redo() {
      const trial = store.get();
      const next = future.pop();
      if (trial === null || next === undefined) return;
      past.push(trial.rules);
      lastStep = null;
      take(next);
    },
    retry() {
      const trial = store.get();
      if (trial !== null) take(trial.rules);
    },
    close() {
      newest.cancel();
      store.set(null);
    },
  };
}
