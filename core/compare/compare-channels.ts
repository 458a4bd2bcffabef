import type { CaseMs } from '../base/brand.ts';
import type { ChannelChange } from '../model/case-comparison.ts';
import type { Channel } from '../model/channel.ts';
import { timeAt } from './align-cases.ts';
import { changedFacts } from './changed-facts.ts';

/**
 * Returns what became of every channel: those of the earlier case in their order, then the new ones.
 * Shape    rows are matched by their instant; `shiftMs` brings the later reading's times to the earlier case's. The arrays are not modified.
 * Missing  a cell without a value equals another one only when both are missing for the same reason.
 */
export function compareChannels(before: readonly Channel[], after: readonly Channel[], shiftMs: number): ChannelChange[] {
  const later = new Map(after.map((channel) => [channel.channelId, channel]));
  const known = new Set(before.map((channel) => channel.channelId));
  return [
    ...before.map((channel) => {
      const partner = later.get(channel.channelId);
      return partner === undefined ? oneSided(channel, 'removed', 0) : compareChannel(channel, partner, shiftMs);
    }),
    ...after.filter((channel) => !known.has(channel.channelId)).map((channel) => oneSided(channel, 'added', shiftMs)),
  ];
}

function oneSided(channel: Channel, state: 'added' | 'removed', shiftMs: number): ChannelChange {
  const rows = channel.tMs.length;
  const isAdded = state === 'added';
  return {
    channelId: channel.channelId, label: channel.label, unit: channel.unit, state,
    rowsBefore: isAdded ? 0 : rows, rowsAfter: isAdded ? rows : 0, rowsAdded: isAdded ? rows : 0, rowsRemoved: isAdded ? 0 : rows, rowsChanged: 0,
    firstMs: rows === 0 ? null : timeAt(channel.tMs, 0) + shiftMs, facts: [],
  };
}

function compareChannel(before: Channel, after: Channel, shiftMs: number): ChannelChange {
  let rowsAdded = 0;
  let rowsRemoved = 0;
  let rowsChanged = 0;
  let firstMs: CaseMs | null = null;
  const note = (atMs: CaseMs): void => {
    firstMs ??= atMs;
  };
  let i = 0;
  let j = 0;
  while (i < before.tMs.length || j < after.tMs.length) {
    const a = i < before.tMs.length ? timeAt(before.tMs, i) : Infinity;
    const b = j < after.tMs.length ? timeAt(after.tMs, j) + shiftMs : Infinity;
    if (a < b) {
      rowsRemoved += 1;
      note(a);
      i += 1;
    } else if (b < a) {
      rowsAdded += 1;
      note(b);
      j += 1;
    } else {
      if (!Object.is(before.value[i], after.value[j]) || before.mark[i] !== after.mark[j]) {
        rowsChanged += 1;
        note(a);
      }
      i += 1;
      j += 1;
    }
  }
  const facts = changedFacts(factsOf(before), factsOf(after));
  const isSame = rowsAdded + rowsRemoved + rowsChanged === 0 && facts.length === 0;
  return {
    channelId: before.channelId, label: after.label, unit: after.unit, state: isSame ? 'same' : 'changed',
    rowsBefore: before.tMs.length, rowsAfter: after.tMs.length, rowsAdded, rowsRemoved, rowsChanged, firstMs, facts,
  };
}

/** All that is said of a channel but its samples, and where it came from. */
function factsOf(channel: Channel): Readonly<Record<string, unknown>> {
  return Object.fromEntries(Object.entries(channel).filter(([name, value]) => !ArrayBuffer.isView(value) && name !== 'channelId' && name !== 'sourceIndex'));
}
