import type { ReadCase, ReadDropout } from '../model/review-agreement.ts';
import type { CaseEntry, ReviewBasis, SealedEntry, StandingVerdict } from '../model/review.ts';
import { reanchor } from './reanchor.ts';
import type { SenderNames } from './standing-verdicts.ts';
import { readerKey, standingVerdicts } from './standing-verdicts.ts';

/**
 * Returns what readers said of a case's dropouts, apart what each said before being shown what others said.
 * Shape   `entries`: those of the case, in the order of the trail. `personOf` gives the name of a reader who goes by more than one, as it is
 *         shown (`senders` name the libraries); of two blinded readings of one person the earlier counts. A reading is the last that its reader gave blinded, corrected and taken
 *         back as it was until then: whatever came after the reveal changes nothing in it. Only dropouts that anybody has read.
 * Source  docs/methods/rater-agreement.md.
 */
export function readCase(entries: readonly SealedEntry[], basis: ReviewBasis, personOf: (shown: string) => string = (shown) => shown, senders?: SenderNames): ReadCase {
  const blind = counted(reanchor(standingVerdicts(blindPart(entries)).verdicts, basis, senders));
  const all = reanchor(standingVerdicts(entries).verdicts, basis, senders);
  const dropouts = basis.sites.flatMap(({ siteKey, dropouts: own }) => own.flatMap(({ dropoutId, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs }): ReadDropout[] => {
    const earliest = new Map<string, StandingVerdict>();
    for (const one of blind.filter((reading) => reading.dropoutId === dropoutId)) {
      const known = earliest.get(personOf(one.by));
      if (known === undefined || one.at < known.at) earliest.set(personOf(one.by), one);
    }
    const readings = [...earliest].map(([by, { judgement }]) => ({ by, verdict: judgement.verdict, correctedBounds: judgement.correctedBounds })).sort((a, b) => (a.by < b.by ? -1 : 1));
    const unblinded = [...new Set(counted(all).filter((one) => one.dropoutId === dropoutId).map(({ by }) => personOf(by)))].filter((by) => !earliest.has(by)).sort();
    return readings.length + unblinded.length === 0 ? [] : [{ dropoutId, siteKey, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, blind: readings, unblinded }];
  }));
  return { caseKey: basis.caseKey, caseId: basis.caseId, dropouts, without: all.filter(({ role, dropoutId }) => role === 'reading' && dropoutId === null).length };
}

function counted(verdicts: readonly StandingVerdict[]): StandingVerdict[] {
  return verdicts.filter(({ role, isCounted }) => role === 'reading' && isCounted);
}

/** The entries that stood when each reader was first shown what others said: blinded readings, and what was taken back of them until then. */
function blindPart(entries: readonly SealedEntry[]): SealedEntry[] {
  const revealedAt = new Map<string, number>();
  for (const { said, reader } of entries.flatMap(authorOf)) {
    if (said.kind !== 'revealed' && said.kind !== 'case read' && !(said.kind === 'verdict' && said.role === 'consensus')) continue;
    revealedAt.set(reader, Math.min(said.place, revealedAt.get(reader) ?? Infinity));
  }
  return entries.filter((sealed) => {
    const [own] = authorOf(sealed);
    if (own === undefined) return false;
    if (own.said.kind === 'verdict') return own.said.role === 'reading' && own.said.isBlinded;
    return own.said.kind === 'taken back' && own.said.place < (revealedAt.get(own.reader) ?? Infinity);
  });
}

/** What an entry says of a case and who said it; nothing of what was done to the library. */
function authorOf({ entry }: SealedEntry): { readonly said: CaseEntry; readonly reader: string }[] {
  if (entry.kind === 'act') return [];
  if (entry.kind !== 'received') return [{ said: entry, reader: readerKey({ name: entry.by, signedBy: null }) }];
  return [{ said: entry.entry, reader: readerKey({ name: entry.entry.by, signedBy: entry.signedBy }) }];
}
