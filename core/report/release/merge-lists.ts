import { isAsked, RELEASE_KINDS, releaseKey, type ReleaseList, type ReleaseRemoval, type ReleaseToken } from '../../model/release.ts';

/** Returns the list of several things that leave together, each with its name; a word stands in the place where the first of them has it. */
export function mergeLists(lists: readonly { readonly name: string; readonly list: ReleaseList }[]): ReleaseList {
  const tokens = new Map<string, ReleaseToken>();
  const removals = new Map<string, ReleaseRemoval>();
  for (const { name, list } of lists) {
    for (const token of list.tokens) {
      const known = tokens.get(releaseKey(token));
      const merged = known === undefined ? { ...token, place: `${name}, ${token.place}` } : { ...known, count: known.count + token.count, otherPlaces: known.otherPlaces + 1 + token.otherPlaces };
      tokens.set(releaseKey(token), merged);
    }
    for (const removal of list.removals) {
      const known = removals.get(releaseKey(removal));
      removals.set(releaseKey(removal), known === undefined ? removal : { ...known, count: known.count + removal.count, isCircular: known.isCircular || removal.isCircular });
    }
  }
  const all = [...tokens.values()].sort((a, b) => RELEASE_KINDS.indexOf(a.kind) - RELEASE_KINDS.indexOf(b.kind));
  return {
    tokens: all, columns: lists.flatMap(({ list }) => list.columns), removals: [...removals.values()], isKeepOnly: lists.some(({ list }) => list.isKeepOnly),
    open: all.filter(({ kind, isKept }) => isAsked(kind) && !isKept).length + [...removals.values()].filter(({ kind, isCircular }) => isCircular && !isAsked(kind)).length,
  };
}
