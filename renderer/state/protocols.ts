import type { KeptProtocol, ProtocolContent } from '../../core/model/study-protocol.ts';
import type { HostConnection } from '../host/host-client.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export interface ProtocolsState {
  /** null: not read yet. */
  readonly protocols: readonly KeptProtocol[] | null;
  readonly problem: Problem | null;
}

/** The protocols of the library: only ever added to. */
export interface ProtocolsStore extends ReadableStore<ProtocolsState> {
  load(): Promise<void>;
  /** Fixes a protocol, or the next version of one. Returns whether it was; else the state says why not. */
  fix(content: ProtocolContent, before: { readonly protocolId: string; readonly reason: string } | null): Promise<boolean>;
  /** Returns a protocol to be filed; null where it could not be had. */
  text(protocolId: string, version: number, form: 'markdown' | 'json'): Promise<string | null>;
}

/** Returns the protocols, not read yet. */
export function createProtocols(host: HostConnection): ProtocolsStore {
  const store = createStore<ProtocolsState>({ protocols: null, problem: null });
  const fail = (error: unknown, doing: string): void => store.set({ ...store.get(), problem: describeProblem(error, doing) });
  return {
    get: store.get,
    subscribe: store.subscribe,
    async load() {
      try {
        store.set({ protocols: await host.listProtocols(), problem: null });
      } catch (error) {
        fail(error, 'Reading the protocols');
      }
    },
    async fix(content, before) {
      try {
        store.set({ protocols: await host.fixProtocol({ content, before }), problem: null });
        return true;
      } catch (error) {
        fail(error, 'Fixing the protocol');
        return false;
      }
    },
    async text(protocolId, version, form) {
      try {
        return (await host.protocolText({ protocolId, version, form })).text;
      } catch (error) {
        fail(error, 'Writing the protocol');
        return null;
      }
    },
  };
}
