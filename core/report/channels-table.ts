import type { Channel } from '../model/channel.ts';
import { MARK } from '../model/channel.ts';
import { QUANTITY_FACTS } from '../model/quantity.ts';
import { mainInterval, segmentIntervals } from '../signal/interval.ts';
import type { CaseContext } from './case-context.ts';
import type { Column } from './column.ts';
import { seconds } from './numbers.ts';

/** A row of channels.csv. */
export interface ChannelRow {
  readonly context: CaseContext;
  readonly channel: Channel;
}

/** Yields the rows of channels.csv. */
export function* channelRows(contexts: readonly CaseContext[]): Generator<ChannelRow> {
  for (const context of contexts) for (const channel of context.record.channels) yield { context, channel };
}

/** Returns the interval between the samples that hold a value: the one that covers most time; null where it is irregular, or there are too few. */
function intervalMs({ tMs, value }: Channel): number | null {
  return mainInterval(segmentIntervals(tMs.filter((_, i) => !Number.isNaN(value[i]))));
}

function count({ mark, value }: Channel, is: (mark: number, value: number) => boolean): number {
  let found = 0;
  for (let i = 0; i < value.length; i++) if (is(mark[i] ?? 0, value[i] ?? NaN)) found += 1;
  return found;
}

/** The columns of channels.csv. */
export const CHANNEL_COLUMNS: readonly Column<ChannelRow>[] = [
  { name: 'case_id', meaning: 'the case', unit: '', how: 'as in cases.csv', cell: ({ context }) => context.record.caseId },
  { name: 'channel', meaning: 'the channel', unit: '', how: 'its quantity, with the place of the sensor behind `@` where it has one', cell: ({ channel }) => channel.channelId },
  { name: 'quantity', meaning: 'what it measures', unit: '', how: '`other` where no rule recognised it', cell: ({ channel }) => channel.quantity },
  { name: 'label', meaning: 'its name in the file', unit: '', how: 'as the file has it', cell: ({ channel }) => channel.label },
  { name: 'values_in', meaning: 'unit of its values', unit: '', how: 'UCUM; empty where they have none', cell: ({ channel }) => channel.unit },
  { name: 'mdc_code', meaning: 'code of the quantity in ISO/IEEE 11073-10101', unit: '', type: 'number', how: 'empty where none is known', cell: ({ channel }) => QUANTITY_FACTS[channel.quantity].mdc?.code ?? null },
  { name: 'site', meaning: 'where the sensor sat', unit: '', how: 'empty where no oximeter sensor makes it', cell: ({ channel }) => channel.site },
  { name: 'sensor', meaning: 'tells two sensors at one site apart', unit: '', how: 'as in cases.csv', cell: ({ channel }) => channel.sensor },
  { name: 'source', meaning: 'file that it was read from', unit: '', how: 'name without its folder', cell: ({ context, channel }) => context.record.sources[channel.sourceIndex]?.name ?? null },
  { name: 'source_sha256', meaning: 'digest of that file', unit: '', how: 'SHA-256', cell: ({ context, channel }) => context.record.sources[channel.sourceIndex]?.sha256 ?? null },
  { name: 'layout', meaning: 'whether it has a column (wide) or rows (long) in the file', unit: '', how: '', cell: ({ channel }) => channel.layout },
  { name: 'interval_s', meaning: 'recording interval', unit: 's', type: 'number', how: 'the interval between values that covers most time; empty where it is irregular', cell: ({ channel }) => seconds(intervalMs(channel)) },
  { name: 'value_making', meaning: 'how the record keeper made each value', unit: '', how: 'as a mapping states it, or `not stated`', cell: ({ channel }) => channel.valueMaking ?? 'not stated' },
  { name: 'device_hold_s', meaning: 'how long the device went on showing its last value', unit: 's', type: 'number', how: 'as a mapping states it; empty: the parameter `deviceHoldS` holds', cell: ({ channel }) => channel.deviceHoldS ?? null },
  { name: 'samples', meaning: 'samples that the file has of it', unit: '', type: 'number', how: 'rows of the table in a wide file, rows that name it in a long one', cell: ({ channel }) => channel.tMs.length },
  { name: 'values', meaning: 'samples with a number', unit: '', type: 'number', how: 'flagged ones included', cell: ({ channel }) => count(channel, (_, value) => !Number.isNaN(value)) },
  { name: 'empty', meaning: 'samples without anything', unit: '', type: 'number', how: '', cell: ({ channel }) => count(channel, (mark) => (mark & MARK.empty) !== 0) },
  { name: 'fillers', meaning: 'samples with a filler of the export', unit: '', type: 'number', how: 'such as `---`, 127, or 0 where 0 is no measurement', cell: ({ channel }) => count(channel, (mark) => (mark & MARK.sentinel) !== 0) },
  { name: 'flagged', meaning: 'samples that the export itself flags', unit: '', type: 'number', how: 'as artefact or sensor off; the number beside it is kept', cell: ({ channel }) => count(channel, (mark) => (mark & MARK.flagged) !== 0) },
  { name: 'converted', meaning: 'samples that a correction at import changed', unit: '', type: 'number', how: 'fraction to per cent, kPa to mm[Hg] and the like', cell: ({ channel }) => count(channel, (mark) => (mark & MARK.converted) !== 0) },
];
