import { createHash } from 'node:crypto';
import type { CaseBody, EntryBody, Judgement, ReviewAnchor, ReviewBasis, SealedEntry, Verdict } from '../../core/model/review.ts';
import type { ReviewsFileContent, TravellingCase } from '../../core/model/reviews-file.ts';
import { reviewsFileContent } from '../../core/review/reviews-file.ts';
import { nextPlace, sealEntry } from '../../core/review/trail.ts';

export const sha256 = (text: string): string => createHash('sha256').update(text, 'utf8').digest('hex');

const CLOCK = { kind: 'elapsed', wallMs: 0, epochMs: null } as const;
const INPUTS = [sha256('export.csv')];

/** Returns the anchor of a dropout at the finger that began at this second and lasted 60 s. */
export function anchorOf(atS: number): ReviewAnchor {
  return { siteKey: 'finger', dropoutId: `finger@${atS * 1000}`, lastGoodMs: atS * 1000 - 2000, firstLostMs: atS * 1000, lastLostMs: atS * 1000 + 60_000, firstGoodMs: atS * 1000 + 62_000, censoredAtMs: null, clock: CLOCK };
}

/** Returns a case whose dropouts began at these seconds. */
export function basisOf(caseKey: string, atS: readonly number[]): ReviewBasis {
  const dropouts = atS.map((s, i) => {
    const { siteKey, dropoutId, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs } = anchorOf(s);
    return { siteKey, dropoutId, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs, number: i + 1, lostMs: { low: 60_000, mid: 62_000, high: 64_000 } };
  });
  return { caseKey, caseId: `case ${caseKey}`, seen: seen(), bounds: { startMs: 0, endMs: 3_600_000 }, sites: [{ siteKey: 'finger', clock: CLOCK, dropouts }] };
}

function seen() {
  return { parametersDigest: sha256('parameters'), parametersName: 'default', productVersion: '0.0.0-test', inputDigests: INPUTS };
}

/** Returns a verdict on the dropout that began at this second. */
export function verdictOn(caseKey: string, atS: number, verdict: Verdict, over: Partial<Omit<CaseBody & { kind: 'verdict' }, 'judgement'>> & { readonly judgement?: Partial<Judgement> } = {}): CaseBody {
  const { judgement = {}, ...rest } = over;
  return {
    kind: 'verdict', caseKey, caseId: `case ${caseKey}`, anchor: anchorOf(atS), seen: seen(), role: 'reading', isBlinded: true, supersedes: null, settles: [],
    judgement: { verdict, certainty: verdict === 'cannot tell' ? null : 'probable', note: '', correctedBounds: null, ...judgement },
    ...rest,
  };
}

/** Returns the trail of a library in which this was said, one minute apart; `library` makes its ids its own. */
export function trailOf(library: string, said: readonly { readonly by: string; readonly body: EntryBody }[], before: readonly SealedEntry[] = []): SealedEntry[] {
  const trail = [...before];
  for (const { by, body } of said) {
    const last = trail.at(-1);
    const { place, previous } = nextPlace(last === undefined ? null : { place: last.entry.place, hash: last.hash });
    const entryId = sha256(`${library} ${place}`).slice(0, 32);
    trail.push(sealEntry({ place, previous, entryId, at: new Date(Date.UTC(2026, 0, 5, 8, place)).toISOString(), by, productVersion: '0.0.0-test' }, body, sha256));
  }
  return trail;
}

/** Returns how a library tells of a case in a file. `content`: what it recorded; null: unknown. */
export function lineOf(caseKey: string, content: string | null, inputs: readonly string[] = INPUTS): TravellingCase {
  return { caseKey, caseId: `case ${caseKey}`, inputDigests: inputs, contentFingerprint: content === null ? null : sha256(content) };
}

/** Returns what a library sends of its trail. */
export function fileOf(library: string, trail: readonly SealedEntry[], cases: readonly TravellingCase[], over: Partial<Pick<ReviewsFileContent, 'notes' | 'writtenAt'>> = {}): ReviewsFileContent {
  return reviewsFileContent(
    { trail, cases: new Map(cases.map((one) => [one.caseKey, one])), notes: 'included', writtenAt: '2026-01-06T08:00:00.000Z', productVersion: '0.0.0-test', sender: { publicKey: sha256(`key of ${library}`), fingerprint: sha256(library) }, ...over },
    sha256,
  );
}
