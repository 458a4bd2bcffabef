import { randomBytes } from 'node:crypto';
import type { WrittenBundle } from '../../core/worker/bundle-zip.ts';

/** A research bundle that was made and has not left. */
export interface HeldBundle extends WrittenBundle {
  readonly fileName: string;
  readonly caseKeys: readonly string[];
}

/** Where the host holds a made bundle until every word of it is answered: the page has its words, and not its bytes. */
export interface MadeBundles {
  /** Holds a bundle, in the place of the one before; returns the name by which it is asked for. */
  hold(bundle: HeldBundle): string;
  /** Returns the bundle of this name; null when another one was made since. */
  of(bundleId: string): HeldBundle | null;
}

/** Returns it empty. Only the last bundle is held: one of many cases is large, and nobody saves two. */
export function createMadeBundles(): MadeBundles {
  let held: { readonly bundleId: string; readonly bundle: HeldBundle } | null = null;
  return {
    hold(bundle) {
      held = { bundleId: randomBytes(16).toString('hex'), bundle };
      return held.bundleId;
    },
    of: (bundleId) => (held?.bundleId === bundleId ? held.bundle : null),
  };
}
