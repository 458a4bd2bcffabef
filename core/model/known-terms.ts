import type { EventKind } from './event.ts';

/** What the dictionary knows, for a person who says what a phrase means. */
export interface KnownTerms {
  /** International non-proprietary names in the order of the alphabet. */
  readonly drugs: readonly { readonly inn: string; readonly isVasopressor: boolean }[];
  /** Labels of events by kind, in the order of the alphabet. */
  readonly events: readonly { readonly kind: EventKind; readonly term: string }[];
}
