import type { CaseBody, EntryBody, QueuedDropout, ReviewBasis, SealedEntry } from '../../core/model/review.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { ReviewApi } from '../../core/protocol/review-api.ts';
import { reviewQueue } from '../../core/review/queue.ts';
import { anchorAt } from '../../core/review/review-basis.ts';
import { consensusAt, dropoutsReadBy, hasSeenOthers, ownVerdictAt, reviewOfCase, reviewStateOf } from '../../core/review/review-of-case.ts';
import { standingVerdicts } from '../../core/review/standing-verdicts.ts';
import { nextPlace, sealEntry } from '../../core/review/trail.ts';

/** A host of reviews in memory: the core does the thinking, nothing is on a disk. */
export interface ReviewHost extends ReviewApi {
  /** What the next writes fail with; null: they go through. */
  failWith(failure: FailureError | null): void;
  /** Gives a case another analysis. */
  replace(basis: ReviewBasis): void;
  readonly entries: readonly SealedEntry[];
}

/** Not for sealing: only that two texts have two hashes of the right form. */
function shortHash(text: string): string {
  let a = 0x811c9dc5;
  let b = 0x1b873593;
  for (let i = 0; i < text.length; i++) {
    a = Math.imul(a ^ text.charCodeAt(i), 0x01000193) >>> 0;
    b = (Math.imul(b, 31) + text.charCodeAt(i)) >>> 0;
  }
  return `${a.toString(16).padStart(8, '0')}${b.toString(16).padStart(8, '0')}`.repeat(4);
}

/** Returns a basis with these dropouts, each [site, first lost, last lost] in seconds, on an elapsed clock. */
export function buildReviewBasis(caseKey: string, losses: readonly (readonly [string, number, number])[]): ReviewBasis {
  const clock = { kind: 'elapsed', wallMs: 0, epochMs: null } as const;
  return {
    caseKey, caseId: `case ${caseKey}`, bounds: { startMs: 0, endMs: 36_000_000 },
    seen: { parametersDigest: shortHash('parameters'), parametersName: 'default', productVersion: '0.0.0-test', inputDigests: [] },
    sites: [...new Set(losses.map(([site]) => site))].map((siteKey) => ({
      siteKey, clock,
      dropouts: losses.filter(([site]) => site === siteKey).map(([, from, to], i) => ({
        dropoutId: `${siteKey}@${from * 1000}`, siteKey, number: i + 1, lastGoodMs: (from - 1) * 1000, firstLostMs: from * 1000, lastLostMs: to * 1000, firstGoodMs: (to + 1) * 1000, censoredAtMs: null,
        lostMs: { low: (to - from) * 1000, mid: (to - from + 1) * 1000, high: (to - from + 2) * 1000 },
      })),
    })),
  };
}

/** Returns a host of reviews over these cases, with an empty trail. The clock starts at 22:31:05 UTC and moves on by a second per entry. */
export function buildReviewHost(bases: readonly ReviewBasis[]): ReviewHost {
  const cases = new Map(bases.map((basis) => [basis.caseKey, basis]));
  const entries: SealedEntry[] = [];
  let failure: FailureError | null = null;
  const basisOf = (caseKey: string): ReviewBasis => {
    const basis = cases.get(caseKey);
    if (basis === undefined) throw new FailureError({ code: 'case-missing', message: 'The case is not in the library.', remedy: 'Read the library again.' });
    return basis;
  };
  const ofCase = (caseKey: string): SealedEntry[] => entries.filter(({ entry }) => 'caseKey' in entry && entry.caseKey === caseKey);
  const append = (by: string, body: EntryBody): void => {
    if (failure !== null) throw failure;
    const last = entries.at(-1);
    const at = new Date(Date.UTC(2031, 3, 3, 22, 31, 5 + entries.length)).toISOString();
    entries.push(sealEntry({ ...nextPlace(last === undefined ? null : { place: last.entry.place, hash: last.hash }), entryId: shortHash(`entry ${entries.length}`).slice(0, 32), at, by, productVersion: '0.0.0-test' }, body, shortHash));
  };
  type Asked = { readonly caseKey: string; readonly by: string; readonly blinded: boolean };
  const answer = ({ caseKey, by, blinded }: { readonly caseKey: string; readonly by: string | null; readonly blinded: boolean }) => reviewOfCase(ofCase(caseKey), basisOf(caseKey), { by, blinded });
  const write = async ({ caseKey, by, blinded }: Asked, body: (caseId: string) => CaseBody) => {
    append(by, body(basisOf(caseKey).caseId));
    return answer({ caseKey, by, blinded });
  };
  const anchor = (caseKey: string, dropoutId: string) => {
    const found = anchorAt(basisOf(caseKey), dropoutId);
    if (found === null) throw new FailureError({ code: 'dropout-missing', message: 'This dropout is not among those of today.', remedy: 'Open the case again.' });
    return found;
  };
  const isBlinded = ({ caseKey, by, blinded }: Asked): boolean => blinded && !hasSeenOthers(standingVerdicts(ofCase(caseKey)), { name: by, signedBy: null });
  return {
    entries,
    failWith(next) {
      failure = next;
    },
    replace(basis) {
      cases.set(basis.caseKey, basis);
    },
    listReviewStates: async (view) => [...cases.values()].map((basis) => reviewStateOf(reviewOfCase(ofCase(basis.caseKey), basis, view ?? { by: null, blinded: false }))),
    readReview: async (args) => answer(args),
    confirmedFigures: async () => null,
    giveVerdict: async (args) =>
      write(args, (caseId) => ({
        kind: 'verdict', caseKey: args.caseKey, caseId, anchor: anchor(args.caseKey, args.dropoutId), judgement: args.judgement, seen: basisOf(args.caseKey).seen, role: 'reading', isBlinded: isBlinded(args),
        supersedes: ownVerdictAt(ofCase(args.caseKey), basisOf(args.caseKey), args.dropoutId, args.by)?.entryId ?? null, settles: [],
      })),
    takeVerdictBack: async (args) => write(args, (caseId) => ({ kind: 'taken back', caseKey: args.caseKey, caseId, supersedes: ownVerdictAt(ofCase(args.caseKey), basisOf(args.caseKey), args.dropoutId, args.by)?.entryId ?? '' })),
    placeVerdict: async (args) => {
      const before = standingVerdicts(ofCase(args.caseKey)).verdicts.find((verdict) => verdict.entryId === args.entryId);
      if (before === undefined) throw new FailureError({ code: 'dropout-missing', message: 'This verdict is not in force.', remedy: 'Open the case again.' });
      const { judgement, seen, role, settles, isBlinded: wasBlinded } = before.given;
      return write(args, (caseId) => ({ kind: 'verdict', caseKey: args.caseKey, caseId, anchor: anchor(args.caseKey, args.dropoutId), judgement, seen, role, isBlinded: wasBlinded, supersedes: before.entryId, settles }));
    },
    flagCase: async (args) => write(args, (caseId) => ({ kind: 'flags', caseKey: args.caseKey, caseId, flags: args.flags, note: args.note, seen: basisOf(args.caseKey).seen })),
    markCaseRead: async (args) => {
      const basis = basisOf(args.caseKey);
      const all = basis.sites.reduce((sum, site) => sum + site.dropouts.length, 0);
      return write(args, (caseId) => ({ kind: 'case read', caseKey: args.caseKey, caseId, unread: all - dropoutsReadBy(ofCase(args.caseKey), basis, args.by).size }));
    },
    revealCase: async ({ caseKey, by }) => write({ caseKey, by, blinded: true }, (caseId) => ({ kind: 'revealed', caseKey, caseId })),
    giveConsensus: async (args) =>
      write({ ...args, blinded: false }, (caseId) => ({
        kind: 'verdict', caseKey: args.caseKey, caseId, anchor: anchor(args.caseKey, args.dropoutId), judgement: args.judgement, seen: basisOf(args.caseKey).seen, role: 'consensus', isBlinded: false,
        supersedes: consensusAt(ofCase(args.caseKey), basisOf(args.caseKey), args.dropoutId)?.entryId ?? null, settles: [],
      })),
    reviewQueue: async ({ caseKeys, order, by }): Promise<{ queue: QueuedDropout[]; leftOut: [] }> => ({
      queue: reviewQueue([...cases.values()].filter((basis) => caseKeys === null || caseKeys.includes(basis.caseKey)).map((basis) => ({ basis, read: dropoutsReadBy(ofCase(basis.caseKey), basis, by) })), order),
      leftOut: [],
    }),
    cancelReviewWork: async () => ({ cancelled: true }),
    checkTrail: async ({ head }) => ({
      entries: entries.length, head: entries.at(-1)?.hash ?? '',
      problems: head === null || entries.some(({ hash }) => hash === head) ? [] : [{ place: entries.length, kind: 'head not found', message: 'The noted head is not in this trail.' }],
    }),
    listTrail: async ({ before, limit }) => ({ entries: entries.filter(({ entry }) => before === null || entry.place < before).slice(-limit).reverse(), total: entries.length }),
  };
}
