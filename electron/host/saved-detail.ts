import { createHash } from 'node:crypto';
import type { ReleaseTally } from '../../core/model/release.ts';
import { sha256 } from './kept-reviews.ts';

/** Most cases that an entry of the trail names one by one. */
const NAMED = 20;

/** Something that left the library. */
export interface SavedThing {
  /** What it is and in which form: "case sheet, pdf". */
  readonly what: string;
  /** Keys of the cases it is made of; null: nobody said. */
  readonly caseKeys: readonly string[] | null;
  readonly tally: ReleaseTally;
  readonly bytes: Uint8Array;
}

/**
 * Returns what the trail says of a file that left: what it is, of which cases (by their keys; of very many their number and the digest of
 * their keys), how many words were listed and answered, and the digest of its bytes. No word of it and no title is said.
 */
export function savedDetail({ what, caseKeys, tally, bytes }: SavedThing): string {
  const { listed, asked, kept, replaced, leftOut } = tally;
  return `${what}; ${casesText(caseKeys)}; ${listed} words listed, ${asked} asked about, ${kept} kept, ${replaced} replaced, ${leftOut} left out; sha-256 ${createHash('sha256').update(bytes).digest('hex')}`;
}

function casesText(caseKeys: readonly string[] | null): string {
  if (caseKeys === null) return 'cases not named';
  const count = caseKeys.length === 1 ? '1 case' : `${caseKeys.length} cases`;
  if (caseKeys.length === 0) return 'no case';
  if (caseKeys.length <= NAMED) return `${count}: ${caseKeys.map((key) => key.slice(0, 12)).join(' ')}`;
  return `${count}, digest of their keys ${sha256([...caseKeys].sort().join('\n')).slice(0, 12)}`;
}
