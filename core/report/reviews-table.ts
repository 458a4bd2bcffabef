import type { CaseEntry, CaseReview, SealedEntry, StandingVerdict, VerdictGiven } from '../model/review.ts';
import type { SensorPlace } from '../model/site.ts';
import type { Column } from './column.ts';
import { seconds } from './numbers.ts';

/** A row of reviews.csv: one entry, as it stands. */
export interface ReviewRow {
  readonly caseId: string;
  readonly isMatched: boolean;
  readonly entry: CaseEntry;
  /** Where it came from another library than the others. */
  readonly signedBy: string | null;
  readonly standing: 'in force' | 'superseded' | 'taken back' | 'noted' | 'not matched';
  /** The dropout that a verdict in force stands at. */
  readonly at: { readonly place: SensorPlace; readonly dropout: number } | null;
  readonly verdict: StandingVerdict | null;
  /** Whether free text is written. */
  readonly withNotes: boolean;
}

/** What the rows of one case are made from. */
export interface CaseEntries {
  readonly caseId: string;
  readonly entries: readonly SealedEntry[];
  readonly review: CaseReview;
  /** Number and place of the dropouts of this run. */
  readonly dropoutAt: (dropoutId: string) => ReviewRow['at'];
  readonly withNotes: boolean;
}

/** Yields the rows of reviews.csv of a case: every entry in the order of the trail, those of other libraries after this one's. */
export function* reviewRows({ caseId, entries, review, dropoutAt, withNotes }: CaseEntries): Generator<ReviewRow> {
  const inForce = new Map([...review.dropouts.flatMap(({ verdicts }) => verdicts), ...review.without].map((verdict) => [verdict.entryId, verdict]));
  const said = entries.flatMap(saidIn);
  const ended = new Map(review.earlier.map((verdict) => [verdict.entryId, verdict.ended]));
  for (const { entry, signedBy } of said) {
    const verdict = inForce.get(entry.entryId) ?? null;
    const standing = entry.kind !== 'verdict' ? 'noted' : verdict !== null ? 'in force' : (ended.get(entry.entryId) ?? 'superseded');
    yield { caseId, isMatched: true, entry, signedBy, standing, at: verdict === null || verdict.dropoutId === null ? null : dropoutAt(verdict.dropoutId), verdict, withNotes };
  }
}

/** Yields the rows of entries whose case is not among those that were read, or not for certain. */
export function* unmatchedRows(entries: readonly SealedEntry[], withNotes: boolean): Generator<ReviewRow> {
  for (const { entry, signedBy } of entries.flatMap(saidIn)) yield { caseId: entry.caseId, isMatched: false, entry, signedBy, standing: 'not matched', at: null, verdict: null, withNotes };
}

function saidIn({ entry }: SealedEntry): { readonly entry: CaseEntry; readonly signedBy: string | null }[] {
  if (entry.kind === 'act') return [];
  return entry.kind === 'received' ? [{ entry: entry.entry, signedBy: entry.signedBy }] : [{ entry, signedBy: null }];
}

const given = ({ entry }: ReviewRow): VerdictGiven | null => (entry.kind === 'verdict' ? entry : null);
const instant = (name: string, meaning: string, how: string, pick: (verdict: VerdictGiven) => number | null | undefined): Column<ReviewRow> => ({
  name, meaning, unit: 's', type: 'number', how, cell: (row) => {
    const verdict = given(row);
    return verdict === null ? null : seconds(pick(verdict) ?? null);
  },
});
const SEEN = 'as computed when the verdict was given; seconds from the first trend row of the case as it was then';
const CORRECTED = 'as the reader corrected it; seconds from the first trend row of the case as it was then; empty where the computed bounds stand';

/** The columns of reviews.csv. */
export const REVIEW_COLUMNS: readonly Column<ReviewRow>[] = [
  { name: 'case_id', meaning: 'the case', unit: '', how: 'of this run; where it is not matched, as the library of the reviews names it', cell: ({ caseId }) => caseId },
  { name: 'matched', meaning: 'whether its case is among those that were read', unit: '', type: 'yes or no', how: 'by what the SpO2 sensors recorded and by the digests of the files; `no` too where that leaves it open', cell: ({ isMatched }) => isMatched },
  { name: 'place', meaning: 'place of the entry in the trail that it comes from', unit: '', type: 'number', how: '', cell: ({ entry }) => entry.place },
  { name: 'entry', meaning: 'what names the entry', unit: '', how: '32 hexadecimal digits, the same in every library', cell: ({ entry }) => entry.entryId },
  { name: 'signed_by', meaning: 'key of the library that it comes from', unit: '', how: 'fingerprint; empty where all reviews of the run come from one library', cell: ({ signedBy }) => signedBy },
  { name: 'kind', meaning: 'what was done', unit: '', how: '`verdict`, `taken back`, `flags`, `revealed` (the reader was shown what others said) or `case read`', cell: ({ entry }) => entry.kind },
  { name: 'standing', meaning: 'what became of it', unit: '', how: '`in force`, `superseded` by a later one of the reader, `taken back`; `noted` for what is no verdict; `not matched`', cell: ({ standing }) => standing },
  { name: 'given_at', meaning: 'when', unit: '', how: 'UTC, ISO 8601, by the clock of the computer', cell: ({ entry }) => entry.at },
  { name: 'reader', meaning: 'who', unit: '', how: 'local name; in a bundle a code, unless identifiers were kept', cell: ({ entry }) => entry.by },
  { name: 'role', meaning: 'a reader’s own, or what readers agreed on', unit: '', how: '`reading` or `consensus`', cell: (row) => given(row)?.role ?? null },
  { name: 'blinded', meaning: 'whether the reader had not been shown another’s verdicts on the case', unit: '', type: 'yes or no', how: '`yes` or `no`', cell: (row) => given(row)?.isBlinded ?? null },
  { name: 'site', meaning: 'where the sensor of its dropout sat', unit: '', how: 'as in dropouts.csv; empty where it stands at none', cell: ({ at }) => at?.place.site ?? null },
  { name: 'sensor', meaning: 'tells two sensors at one site apart', unit: '', how: 'as in dropouts.csv', cell: ({ at }) => at?.place.sensor ?? null },
  { name: 'dropout', meaning: 'number of the dropout that it stands at', unit: '', type: 'number', how: 'as in dropouts.csv; empty where it stands at none, or is not in force', cell: ({ at }) => at?.dropout ?? null },
  { name: 'anchor_state', meaning: 'how it stands to the dropouts of this run', unit: '', how: '`same`, `moved`, `split`, `joined` or `without a dropout`; empty where it is not in force', cell: ({ verdict }) => verdict?.state ?? null },
  { name: 'counted', meaning: 'whether it is what its reader says of the dropout', unit: '', type: 'yes or no', how: '`no` for one that is listed with another of the reader on a dropout that is one now', cell: ({ verdict }) => verdict?.isCounted ?? null },
  { name: 'verdict', meaning: 'the verdict', unit: '', how: '', cell: (row) => given(row)?.judgement.verdict ?? null },
  { name: 'certainty', meaning: 'how sure the reader was', unit: '', how: '`certain`, `probable` or `possible`; none for `cannot tell`', cell: (row) => given(row)?.judgement.certainty ?? null },
  { name: 'flags', meaning: 'flags of the whole case after the entry', unit: '', how: 'parted by ";"', cell: ({ entry }) => (entry.kind === 'flags' ? entry.flags.join(';') : null) },
  { name: 'note', meaning: 'free text of the reader', unit: '', how: 'only with `--keep-identifiers`, because it may name persons; empty too where the reviews were written out without notes', cell: ({ entry, withNotes }) => (!withNotes ? null : entry.kind === 'verdict' ? entry.judgement.note : entry.kind === 'flags' ? entry.note : null) },
  { name: 'seen_site', meaning: 'sensor of the dropout as it was seen', unit: '', how: '', cell: (row) => given(row)?.anchor.siteKey ?? null },
  instant('seen_last_good_s', 'last good of the dropout as it was seen', SEEN, ({ anchor }) => anchor.lastGoodMs),
  instant('seen_first_lost_s', 'its first lost', SEEN, ({ anchor }) => anchor.firstLostMs),
  instant('seen_last_lost_s', 'its last lost', SEEN, ({ anchor }) => anchor.lastLostMs),
  instant('seen_first_good_s', 'its first good', SEEN, ({ anchor }) => anchor.firstGoodMs),
  instant('corrected_last_good_s', 'last good', CORRECTED, ({ judgement }) => judgement.correctedBounds?.lastGoodMs),
  instant('corrected_first_lost_s', 'first lost', CORRECTED, ({ judgement }) => judgement.correctedBounds?.firstLostMs),
  instant('corrected_last_lost_s', 'last lost', CORRECTED, ({ judgement }) => judgement.correctedBounds?.lastLostMs),
  instant('corrected_first_good_s', 'first good', CORRECTED, ({ judgement }) => judgement.correctedBounds?.firstGoodMs),
  { name: 'supersedes', meaning: 'entry that it takes the place of, or takes back', unit: '', how: '', cell: ({ entry }) => (entry.kind === 'verdict' || entry.kind === 'taken back' ? entry.supersedes : null) },
  { name: 'settles', meaning: 'readings that a consensus settles', unit: '', how: 'entries, parted by ";"', cell: (row) => given(row)?.settles.join(';') ?? null },
  { name: 'seen_parameter_set', meaning: 'name of the set of definitions that was seen', unit: '', how: '', cell: ({ entry }) => ('seen' in entry ? entry.seen.parametersName : null) },
  { name: 'seen_parameters_sha256', meaning: 'digest of its values', unit: '', how: 'SHA-256', cell: ({ entry }) => ('seen' in entry ? entry.seen.parametersDigest : null) },
  { name: 'seen_product_version', meaning: 'version of the program that was used', unit: '', how: '', cell: ({ entry }) => entry.productVersion },
];
