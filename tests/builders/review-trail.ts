import { createHash } from 'node:crypto';
import type { AnchorClock, EntryBody, Judgement, ReviewableDropout, ReviewAnchor, ReviewBasis, SealedEntry, TrailEntry, VerdictGiven } from '../../core/model/review.ts';
import type { KeptEntry } from '../../core/review/trail.ts';
import { canonicalJson, nextPlace, sealEntry } from '../../core/review/trail.ts';

export const sha256 = (text: string): string => createHash('sha256').update(text, 'utf8').digest('hex');
/** A digest, an entry's name or a key's fingerprint that says which it is. */
export const digestOf = (what: string | number): string => sha256(String(what));
export const idOf = (what: string | number): string => sha256(`entry ${what}`).slice(0, 32);

export const CLOCK: AnchorClock = { kind: 'absolute', wallMs: 1_931_000_000_000, epochMs: 1_930_996_400_000 };
export const SEEN = { parametersDigest: digestOf('default'), parametersName: 'default', productVersion: '0.0.0', inputDigests: [digestOf('trends')] } as const;
export const LOSS: Judgement = { verdict: 'low perfusion', certainty: 'probable', note: '', correctedBounds: null };
export const NO_LOSS: Judgement = { verdict: 'no loss', certainty: 'certain', note: '', correctedBounds: null };
export const CANNOT_TELL: Judgement = { verdict: 'cannot tell', certainty: null, note: '', correctedBounds: null };

/** Returns a dropout whose loss is [from, to) s, the last good value a second before and the last lost one a second before the end. */
export function dropoutOf(fromS: number, toS: number, over: Partial<ReviewableDropout> = {}): ReviewableDropout {
  const siteKey = over.siteKey ?? 'finger';
  return {
    dropoutId: `${siteKey}@${fromS * 1000}`, siteKey, number: 1, lastGoodMs: (fromS - 1) * 1000, firstLostMs: fromS * 1000, lastLostMs: (toS - 1) * 1000, firstGoodMs: toS * 1000, censoredAtMs: null,
    lostMs: { low: (toS - fromS - 1) * 1000, mid: (toS - fromS) * 1000, high: (toS - fromS + 1) * 1000 }, ...over,
  };
}

export function basisOf(dropouts: readonly ReviewableDropout[], over: Partial<ReviewBasis> & { readonly clock?: AnchorClock } = {}): ReviewBasis {
  const { clock = CLOCK, ...rest } = over;
  const keys = [...new Set(['finger', ...dropouts.map(({ siteKey }) => siteKey)])];
  return {
    caseKey: 'key-1', caseId: 'case-1', seen: SEEN, bounds: { startMs: 0, endMs: 3_600_000 },
    sites: keys.map((siteKey) => ({ siteKey, clock, dropouts: dropouts.filter((dropout) => dropout.siteKey === siteKey) })), ...rest,
  };
}

export function anchorOf({ siteKey, dropoutId, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs }: ReviewableDropout, clock: AnchorClock = CLOCK): ReviewAnchor {
  return { siteKey, dropoutId, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs, clock };
}

export function verdictBody(dropout: ReviewableDropout, judgement: Judgement = LOSS, over: Partial<VerdictGiven> = {}): VerdictGiven {
  return { kind: 'verdict', caseKey: 'key-1', caseId: 'case-1', anchor: anchorOf(dropout), judgement, seen: SEEN, role: 'reading', isBlinded: true, supersedes: null, settles: [], ...over };
}

/** Collects entries into one trail, each sealed on the one before. */
export class TrailBuilder {
  readonly sealed: SealedEntry[] = [];

  constructor(private readonly library = 'here') {}

  /** Adds an entry and returns its id. */
  add(by: string, body: EntryBody): string {
    const last = this.sealed.at(-1);
    const n = this.sealed.length + 1;
    const entryId = idOf(`${this.library} ${n}`);
    const at = new Date(Date.UTC(2031, 2, 4, 8, 0, n)).toISOString();
    this.sealed.push(sealEntry({ ...nextPlace(last === undefined ? null : { place: last.entry.place, hash: last.hash }), entryId, at, by, productVersion: '0.0.0' }, body, sha256));
    return entryId;
  }

  /** Adds everything of another library's trail as received from it. */
  receive(from: readonly SealedEntry[], signedBy: string): void {
    for (const { entry, hash } of from) {
      if (entry.kind === 'act' || entry.kind === 'received') continue;
      this.add('receiver', { kind: 'received', caseKey: 'key-1', caseId: 'case-1', entry, hash, signedBy });
    }
  }

  get kept(): KeptEntry[] {
    return this.sealed.map(keptOf);
  }
}

export function keptOf({ entry, hash }: SealedEntry): KeptEntry {
  return { text: canonicalJson(entry), hash };
}

/** Returns an entry with other content, sealed anew as somebody would who knows how. */
export function resealed(entry: TrailEntry, over: Partial<TrailEntry>): SealedEntry {
  const changed = { ...entry, ...over } as TrailEntry; // a forger's entry, of whatever kind it was
  return { entry: changed, hash: sha256(canonicalJson(changed)) };
}
