import type { CaseComparison, ChannelChange, DropoutChange, EntryChange } from '../../../core/model/case-comparison.ts';
import type { ChangedCase, ComparedChange, UnchangedCase } from '../../../core/protocol/host-api.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { durationText, rangeText, type CaseClock } from '../../format/time-text.ts';

/** Returns what differs in counts: "12 rows more, 3 other values, 1 dropout other"; never empty. */
export function changeCountsText({ rows, events, drugs, dropouts }: ChangedCase): string {
  const parts = [
    rows.added > 0 ? countText(rows.added, 'row more', 'rows more') : null,
    rows.removed > 0 ? countText(rows.removed, 'row less', 'rows less') : null,
    rows.changed > 0 ? countText(rows.changed, 'row with another value', 'rows with other values') : null,
    drugs > 0 ? countText(drugs, 'drug entry', 'drug entries') : null,
    events > 0 ? countText(events, 'event', 'events') : null,
    dropouts !== null && dropouts > 0 ? countText(dropouts, 'dropout or blind interval', 'dropouts or blind intervals') : null,
  ].filter((part) => part !== null);
  return parts.length === 0 ? 'times, names or units only' : parts.join(', ');
}

/** Returns what became of one changed case so far. */
export function decisionText({ decision, storedAs }: ChangedCase): string {
  switch (decision) {
    case null:
      return 'not decided: the library keeps the earlier one';
    case 'replace':
      return 'replaced by the new one';
    case 'keep old':
      return 'the earlier one was kept';
    case 'keep both':
      return `both kept, the new one as “${storedAs ?? ''}”`;
  }
}

/** Returns what becomes of the verdicts on the library's case if it is replaced, in one or two sentences. */
export function verdictsText(reviews: ComparedChange['reviews']): string {
  if (reviews === null) return 'Nobody has given a verdict on this case.';
  if (reviews === 'not told') return 'There are verdicts on this case, and they stay; how they would stand to the new dropouts cannot be told.';
  const { verdicts, same, moved, split, joined, withoutDropout } = reviews;
  const parts = [
    same > 0 ? `${numberText(same)} at the same dropout` : null,
    moved > 0 ? `${numberText(moved)} at a dropout with other bounds` : null,
    split > 0 ? `${numberText(split)} over several dropouts` : null,
    joined > 0 ? `${numberText(joined)} together at one dropout` : null,
    withoutDropout > 0 ? `${numberText(withoutDropout)} at no dropout, to be placed by hand` : null,
  ].filter((part) => part !== null);
  return `${countText(verdicts, 'verdict is', 'verdicts are')} in force on this case. If it is replaced ${verdicts === 1 ? 'it stays' : 'all stay'}: ${parts.join(', ')}.`;
}

/** Returns which files the two were read from; one name on both sides is a file whose bytes have changed. */
export function filesText({ same, added, removed }: ComparedChange['sources']): string {
  const changed = added.filter((name) => removed.includes(name));
  const only = (names: readonly string[]): string => names.filter((name) => !changed.includes(name)).join(', ');
  const [gone, come] = [only(removed), only(added)];
  return [
    `${same === 0 ? 'No file is' : countText(same, 'file is', 'files are')} the same, byte for byte.`,
    changed.length === 0 ? '' : `Of the same name with other bytes: ${changed.join(', ')}.`,
    gone === '' ? '' : `Only the library’s was read from ${gone}.`,
    come === '' ? '' : `Only the new one was read from ${come}.`,
  ].filter((part) => part !== '').join(' ');
}

/** Returns what was not stored a second time, in one sentence for each case. */
export function unchangedText({ caseId, heldBy }: UnchangedCase): string {
  return caseId === heldBy.caseId ? caseId : `${caseId} (the library holds it as ${heldBy.caseId})`;
}

/** Returns a name for the new one where both are kept: the first of "name (2)", "name (3)" … that is free. */
export function freeName(caseId: string, taken: ReadonlySet<string>): string {
  for (let n = 2; ; n += 1) {
    const name = `${caseId} (${n})`;
    if (!taken.has(name)) return name;
  }
}

const STATE_TEXT = { added: 'new', removed: 'no longer there', changed: 'changed', same: 'the same' } as const;

/** Returns what became of a channel, event, drug or dropout, in a word. */
export function stateText(state: keyof typeof STATE_TEXT): string {
  return STATE_TEXT[state];
}

/** Returns the rows of a channel as a sum that adds up: "600 − 3 + 12 = 609; 2 with other values". */
export function channelRowsText({ rowsBefore, rowsRemoved, rowsAdded, rowsAfter, rowsChanged }: ChannelChange): string {
  const sum = `${numberText(rowsBefore)} − ${numberText(rowsRemoved)} + ${numberText(rowsAdded)} = ${numberText(rowsAfter)}`;
  return rowsChanged === 0 ? sum : `${sum}; ${numberText(rowsChanged)} with ${rowsChanged === 1 ? 'another value' : 'other values'}`;
}

/** Returns one side of a changed event or drug: "08:12:30 phenylephrine 100 mcg IV"; '–' where it is not there. */
export function entryText(entry: EntryChange['before'], clock: CaseClock): string {
  return entry === null ? '–' : `${clock.clock(entry.atMs)}${entry.endMs === null ? '' : ` to ${clock.clock(entry.endMs)}`} ${entry.text} (${entry.reading})`;
}

/** Returns one side of a changed dropout: "08:12:30, 89–91 s, mid 90 s, same site". */
export function dropoutText(dropout: DropoutChange['before'], clock: CaseClock): string {
  if (dropout === null) return '–';
  return `from ${clock.clock(dropout.firstLostMs)}, lost ${rangeText(dropout.lostMs)}, ${dropout.restoredBy === 'not restored' ? 'not restored' : `restored at the ${dropout.restoredBy}`}`;
}

/** Returns the sentence about how the two readings lie in time. */
export function spanText(comparison: CaseComparison, clock: CaseClock): string[] {
  const { span, movedMs } = comparison;
  const side = (one: CaseComparison['span']['before']): string => (one === null ? 'no row' : `${clock.date(one.startMs) ?? ''} ${clock.clock(one.startMs)} to ${clock.clock(one.endMs)}, ${durationText(one.endMs - one.startMs)}`.trim());
  const sentences = [`In the library: ${side(span.before)}.`, `In this import: ${side(span.after)}.`];
  if (movedMs !== 0) sentences.push(`Every time of this import lies ${durationText(Math.abs(movedMs))} ${movedMs > 0 ? 'later' : 'earlier'} than in the library: only its clock or zone was read otherwise. The rows below are compared one by one.`);
  if (comparison.alignedBy === 'first row' && movedMs === 0) sentences.push('Their clocks have nothing in common; the two are laid first row on first row.');
  return sentences;
}
