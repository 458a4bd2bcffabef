import type { Result } from '../base/result.ts';
import { fail, ok } from '../base/result.ts';
import type { CaseEntry, SealedEntry } from '../model/review.ts';
import { isCaseBody } from '../model/review-schema.ts';
import type { ReviewsFile, ReviewsFileContent, ReviewsFileOutlook, TravellingCase, TravellingEntry } from '../model/reviews-file.ts';
import { REVIEWS_FILE_SCHEMA } from '../model/reviews-file.ts';
import { reviewsFileSchema } from '../model/reviews-file-schema.ts';
import type { Sha256 } from './trail.ts';
import { canonicalJson } from './trail.ts';

/** What the core cannot do itself: Ed25519 and digests, handed in by the host. */
export interface SignatureCheck {
  readonly sha256: Sha256;
  /** sha-256 of the bytes that the hexadecimal digits stand for. */
  readonly fingerprintOf: (publicKey: string) => string;
  readonly verify: (publicKey: string, text: string, signature: string) => boolean;
}

/** What a file is made of. */
export interface ReviewsToSend {
  /** The whole trail, in the order of its places, every entry readable. */
  readonly trail: readonly SealedEntry[];
  /** The cases whose reviews travel, by their key. */
  readonly cases: ReadonlyMap<string, TravellingCase>;
  readonly notes: ReviewsFileContent['notes'];
  readonly writtenAt: string;
  readonly productVersion: string;
  readonly sender: ReviewsFileContent['sender'];
}

/** Returns the text that is signed. */
export function signedText(content: ReviewsFileContent): string {
  return `${REVIEWS_FILE_SCHEMA}\n${canonicalJson(content)}`;
}

/**
 * Returns what travels: this library's own entries about the given cases, with the hashes of the whole trail.
 * Shape   entries in the order of their places. Acts and what was received from elsewhere stay here. With notes left out every free text is
 *         '' and the entry bears another hash; the one of the trail stands beside it.
 */
export function reviewsFileContent({ trail, cases, notes, ...facts }: ReviewsToSend, sha256: Sha256): ReviewsFileContent {
  const entries = trail.flatMap(({ entry, hash }): TravellingEntry[] => {
    if (!isCaseEntry(entry) || !cases.has(entry.caseKey)) return [];
    const sent = notes === 'included' ? entry : withoutNote(entry);
    return [{ entry: sent, hash: sent === entry ? hash : sha256(canonicalJson(sent)), sealedAs: hash }];
  });
  const used = new Set(entries.map(({ entry }) => entry.caseKey));
  return { ...facts, notes, chain: trail.map(({ hash }) => hash), cases: [...cases.values()].filter(({ caseKey }) => used.has(caseKey)).sort((a, b) => (a.caseKey < b.caseKey ? -1 : 1)), entries };
}

/** Returns what such a file would hold, for a person who decides whether to write it. */
export function reviewsFileOutlook({ trail, cases }: Pick<ReviewsToSend, 'trail' | 'cases'>): ReviewsFileOutlook {
  const own = trail.flatMap(({ entry }) => (isCaseEntry(entry) && cases.has(entry.caseKey) ? [entry] : []));
  const used = new Set(own.map(({ caseKey }) => caseKey));
  return {
    cases: used.size,
    entries: own.length,
    verdicts: own.filter(({ kind }) => kind === 'verdict').length,
    notes: own.filter((entry) => noteOf(entry) !== '').length,
    readers: [...new Set(own.map(({ by }) => by))].sort(),
    withoutContent: [...used].filter((key) => cases.get(key)?.contentFingerprint === null).length,
    notOwn: trail.filter(({ entry }) => entry.kind === 'received').length,
  };
}

/** Returns the file's text. */
export function reviewsFileText(content: ReviewsFileContent, signature: string): string {
  const file: ReviewsFile = { schema: REVIEWS_FILE_SCHEMA, content, signature };
  return `${JSON.stringify(file, null, 1)}\n`;
}

/** Returns the free text of an entry; '' where it has none. */
export function noteOf(entry: CaseEntry): string {
  return entry.kind === 'verdict' ? entry.judgement.note : entry.kind === 'flags' ? entry.note : '';
}

/** Returns the entry without its free text; the very same where it has none. */
export function withoutNote(entry: CaseEntry): CaseEntry {
  if (noteOf(entry) === '') return entry;
  if (entry.kind === 'verdict') return { ...entry, judgement: { ...entry.judgement, note: '' } };
  return entry.kind === 'flags' ? { ...entry, note: '' } : entry;
}

function isCaseEntry(entry: SealedEntry['entry']): entry is CaseEntry {
  return isCaseBody(entry);
}

const ASK_AGAIN = 'Nothing was taken from it. Ask the sender for the file again, and compare the fingerprint by another way than the file came.';

/**
 * Returns what a reviews file holds, once its signature and the chain of its entries were found to hold.
 * Errors  `reviews-file-unreadable`, `reviews-file-newer`, `reviews-file-altered` (the signature does not fit), `reviews-file-chain` (signed,
 *         and what was signed does not hold together: the sender's library was changed by hand).
 * Source  docs/formats/reviews-file.md; RFC 8032 (Ed25519), RFC 8785 (canonical JSON).
 */
export function readReviewsFile(text: string, check: SignatureCheck): Result<ReviewsFileContent> {
  const json = jsonOf(text);
  if (json === null) return unreadable('it is no JSON text, or ends too early');
  const schema = 'schema' in json ? json.schema : null;
  if (typeof schema !== 'string' || !/^lacuna-reviews\/\d+$/.test(schema)) return unreadable('it does not say that it is one');
  if (schema !== REVIEWS_FILE_SCHEMA) {
    return fail({ code: 'reviews-file-newer', message: `The file has the form ${schema}; this version of the program reads ${REVIEWS_FILE_SCHEMA}.`, remedy: 'Receive it with a later version of the program, or let the sender write it with this one.' });
  }
  const parsed = reviewsFileSchema.safeParse(json);
  if (!parsed.success) {
    const [issue] = parsed.error.issues;
    return unreadable(`at ${issue?.path.join('.') ?? ''}: ${issue?.message ?? 'another form'}`);
  }
  const { content, signature } = parsed.data;
  const { publicKey, fingerprint } = content.sender;
  if (check.fingerprintOf(publicKey) !== fingerprint || !check.verify(publicKey, signedText(content), signature)) {
    return fail({ code: 'reviews-file-altered', message: 'The signature of the file does not fit its content: it was changed after it was written, or damaged on its way.', remedy: ASK_AGAIN });
  }
  const fault = chainFault(content, check.sha256);
  return fault === null ? ok(content) : fail({ code: 'reviews-file-chain', message: `The file is signed, and its entries do not hold together: ${fault}.`, remedy: 'Nothing was taken from it. Let the sender check the audit trail of that library.' });
}

function unreadable(why: string): Result<never> {
  return fail({ code: 'reviews-file-unreadable', message: `The file cannot be read as a reviews file: ${why}.`, remedy: ASK_AGAIN });
}

function jsonOf(text: string): object | null {
  try {
    const json: unknown = JSON.parse(text.startsWith('\uFEFF') ? text.slice(1) : text);
    return typeof json === 'object' && json !== null && !Array.isArray(json) ? json : null;
  } catch {
    return null;
  }
}

/** Returns what is wrong with the chain of a file's entries; null: nothing. */
function chainFault({ chain, cases, entries, notes }: ReviewsFileContent, sha256: Sha256): string | null {
  const caseKeys = new Set(cases.map(({ caseKey }) => caseKey));
  if (caseKeys.size !== cases.length) return 'a case stands in it twice';
  const seen = new Set<string>();
  let before = 0;
  for (const { entry, hash, sealedAs } of entries) {
    const where = `entry ${entry.place}`;
    if (entry.place <= before) return `${where} comes after entry ${before}`;
    before = entry.place;
    if (seen.has(entry.entryId)) return `${where} is there twice`;
    seen.add(entry.entryId);
    if (!caseKeys.has(entry.caseKey)) return `${where} belongs to a case that is not listed`;
    if (sha256(canonicalJson(entry)) !== hash) return `${where} is not what its hash was made over`;
    if (hash !== sealedAs && (notes === 'included' || noteOf(entry) !== '')) return `${where} is not as it stood in the trail`;
    if (chain[entry.place - 1] !== sealedAs) return `${where} does not stand at its place in the trail`;
    if ((chain[entry.place - 2] ?? '') !== entry.previous) return `${where} does not follow the entry before it`;
  }
  return null;
}
