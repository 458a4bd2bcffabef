import type { CaseAnalysis, Dropout } from '../../core/model/analysis.ts';

/** What is chosen on the case screen. At most one thing at a time. */
export type Selection =
  | { readonly kind: 'none' }
  | { readonly kind: 'dropout'; readonly dropoutId: string }
  | { readonly kind: 'blind'; readonly number: number }
  | { readonly kind: 'record gap'; readonly index: number }
  | { readonly kind: 'exposure'; readonly exposureId: string };

export const NOTHING_SELECTED: Selection = { kind: 'none' };

/** Returns the dropouts of every site together, by onset, then by site in the case's own order. */
export function allDropouts(analysis: CaseAnalysis): Dropout[] {
  return analysis.sites.flatMap((site) => site.dropouts).sort((a, b) => a.firstLostMs - b.firstLostMs);
}

/**
 * Returns the dropouts that are there only when doubtful values count as lost: those of the second result that touch none
 * of the first at their site, by onset.
 */
export function doubtfulOnlyDropouts(analysis: CaseAnalysis): Dropout[] {
  return analysis.sites
    .flatMap(({ dropouts, dropoutsDoubtfulLost }) =>
      dropoutsDoubtfulLost.filter((second) => !dropouts.some((first) => first.lastGoodMs < (second.firstGoodMs ?? Infinity) && second.lastGoodMs < (first.firstGoodMs ?? Infinity))),
    )
    .sort((a, b) => a.firstLostMs - b.firstLostMs);
}

/** Returns the dropout with this id, of the first result or, where it has none, of those that only the second has. */
export function findDropout(analysis: CaseAnalysis, dropoutId: string): Dropout | undefined {
  return allDropouts(analysis).find((dropout) => dropout.dropoutId === dropoutId) ?? doubtfulOnlyDropouts(analysis).find((dropout) => dropout.dropoutId === dropoutId);
}

/**
 * Returns the dropout that follows (`step` 1) or precedes (−1) the chosen one; without a choice, the first or last.
 * Returns null at either end and where there is none.
 */
export function neighbourDropout(dropouts: readonly Dropout[], chosenId: string | null, step: 1 | -1): Dropout | null {
  const at = chosenId === null ? -1 : dropouts.findIndex((dropout) => dropout.dropoutId === chosenId);
  const wanted = at === -1 ? (step === 1 ? 0 : dropouts.length - 1) : at + step;
  return dropouts[wanted] ?? null;
}

/** Returns the selection if what it names still exists after a new analysis, else nothing selected. */
export function keepSelection(selection: Selection, analysis: CaseAnalysis): Selection {
  switch (selection.kind) {
    case 'none':
      return selection;
    case 'dropout':
      return findDropout(analysis, selection.dropoutId) !== undefined ? selection : NOTHING_SELECTED;
    case 'blind':
      return analysis.blind.some((blind) => blind.number === selection.number) ? selection : NOTHING_SELECTED;
    case 'record gap':
      return selection.index < analysis.recordGaps.length ? selection : NOTHING_SELECTED;
    case 'exposure':
      return analysis.exposures.some((exposure) => exposure.exposureId === selection.exposureId) ? selection : NOTHING_SELECTED;
  }
}
