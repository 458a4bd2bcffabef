import type { EntryKeptBack, TrailCheck, TrailEntry } from '../../../core/model/review.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { durationText } from '../../format/time-text.ts';
import { judgementText } from './review-words.ts';

/** Returns what an entry of the trail says, in a sentence without what is said of its case and its reader. */
export function entryText(entry: TrailEntry): string {
  switch (entry.kind) {
    case 'verdict': {
      const how = entry.role === 'consensus' ? `consensus of ${countText(entry.settles.length, 'reading', 'readings')}` : entry.isBlinded ? 'blinded verdict' : 'verdict, not blinded,';
      const bounds = entry.judgement.correctedBounds === null ? '' : '; bounds by hand';
      const note = entry.judgement.note === '' ? '' : '; with a note';
      const before = entry.supersedes === null ? '' : `; takes the place of ${shortHash(entry.supersedes)}`;
      return `${how} on ${entry.anchor.siteKey}, ${durationText(entry.anchor.firstLostMs)} into the record: ${judgementText(entry.judgement)}${bounds}${note}${before}`;
    }
    case 'taken back':
      return `verdict ${shortHash(entry.supersedes)} taken back`;
    case 'flags':
      return `flags: ${entry.flags.length === 0 ? 'none' : entry.flags.join(', ')}${entry.note === '' ? '' : '; with a note'}`;
    case 'revealed':
      return 'was shown what others said';
    case 'case read':
      return entry.unread === 0 ? 'called the case read' : `called the case read, ${countText(entry.unread, 'dropout', 'dropouts')} left open`;
    case 'act':
      return `${entry.act}${entry.detail === '' ? '' : `: ${entry.detail}`}`;
    case 'received':
      return `received, signed by ${shortHash(entry.signedBy)}: ${entry.entry.by}, ${entryText(entry.entry)}`;
  }
}

/** Returns the case that an entry is about, or null. */
export function entryCase(entry: TrailEntry | EntryKeptBack): string | null {
  return 'caseId' in entry ? entry.caseId : null;
}

/** Returns the beginning of a hash or of an entry's name, enough to find it again by eye. */
export function shortHash(hash: string): string {
  return hash.slice(0, 12);
}

/** Returns the result of a check in a sentence. `head`: the hash that had to be in the trail; null: none was asked for. */
export function checkText(check: TrailCheck, head: string | null): string {
  if (check.problems.length > 0) return `${countText(check.problems.length, 'problem was', 'problems were')} found in ${countText(check.entries, 'entry', 'entries')}.`;
  const asked = head === null ? '' : ' The head that you noted is in it, so nothing before it was taken out.';
  if (check.entries === 0) return `The trail is empty: there is nothing to check.${asked}`;
  if (check.entries === 1) return `The one entry was not altered.${asked}`;
  return `All ${numberText(check.entries)} entries follow one another: none was altered, removed or put in another order.${head === null ? ' One that was written anew as a whole would fit too: only a head noted earlier can show that.' : asked}`;
}
