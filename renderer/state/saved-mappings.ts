import { fittingEntry } from '../../core/model/mapping-match.ts';
import type { FileReport } from '../../core/model/import-report.ts';
import type { Mapping, ReadingRules } from '../../core/model/mapping.ts';
import type { HostConnection } from '../host/host-client.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export type SavedMappingsState = { readonly kind: 'loading' } | { readonly kind: 'ready'; readonly mappings: readonly Mapping[] } | { readonly kind: 'failed'; readonly problem: Problem };

/** Owns the list of saved mappings. Every change resolves with null, or with why it did not go through; the list then stays as it was. */
export interface SavedMappings extends ReadableStore<SavedMappingsState> {
  load(): Promise<void>;
  /** `replace`: one of the same name gives way. */
  save(mapping: Mapping, replace: boolean): Promise<Problem | null>;
  rename(name: string, to: string): Promise<Problem | null>;
  remove(name: string): Promise<Problem | null>;
  /** Returns the mapping that the text of a file holds, or why it is none. */
  read(text: string): Promise<{ readonly mapping: Mapping } | { readonly problem: Problem }>;
}

/** Returns the saved mappings of the library behind `host`; nothing is asked before `load`. */
export function createSavedMappings(host: HostConnection): SavedMappings {
  const store = createStore<SavedMappingsState>({ kind: 'loading' });
  const change = async (call: () => Promise<readonly Mapping[]>, doing: string): Promise<Problem | null> => {
    try {
      store.set({ kind: 'ready', mappings: await call() });
      return null;
    } catch (error) {
      return describeProblem(error, doing);
    }
  };
  return {
    get: store.get,
    subscribe: store.subscribe,
    async load() {
      const problem = await change(() => host.listMappings(), 'Reading the saved mappings');
      if (problem !== null) store.set({ kind: 'failed', problem });
    },
    save: (mapping, replace) => change(() => host.saveMapping({ mapping, replace }), 'Saving the mapping'),
    rename: (name, to) => change(() => host.renameMapping({ name, to }), 'Renaming the mapping'),
    remove: (name) => change(() => host.removeMapping({ name }), 'Removing the mapping'),
    async read(text) {
      try {
        return { mapping: await host.readMapping({ text }) };
      } catch (error) {
        return { problem: describeProblem(error, 'Reading the mapping file') };
      }
    },
  };
}

/** A saved mapping that fits files of an import. */
export interface MappingOffer {
  readonly mapping: Mapping;
  readonly files: readonly { readonly file: string; readonly rules: ReadingRules }[];
}

/** Returns the saved mappings that fit files which `isTaken` does not leave out, those that fit most files first. */
export function mappingOffers(mappings: readonly Mapping[], reports: readonly FileReport[], isTaken: (file: string) => boolean): MappingOffer[] {
  const offers = mappings.map((mapping): MappingOffer => ({
    mapping,
    files: reports.flatMap((report) => {
      if (isTaken(report.file) || report.mapping !== undefined) return [];
      const entry = fittingEntry(mapping, report.file, report.headings ?? null);
      return entry === null ? [] : [{ file: report.file, rules: entry.reading }];
    }),
  }));
  return offers.filter(({ files }) => files.length > 0).sort((a, b) => b.files.length - a.files.length);
}
