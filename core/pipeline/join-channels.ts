import type { Finding } from '../base/finding.ts';
import type { Channel } from '../model/channel.ts';
import { QUANTITY_FACTS } from '../model/quantity.ts';
import type { RawChannel } from '../readers/reading.ts';
import { orderRows, type ValueColumn } from '../readers/order-rows.ts';

export interface PlacedChannel {
  readonly channel: RawChannel;
  readonly sourceIndex: number;
  /** Added to the channel's times to make them case time. */
  readonly shiftMs: number;
}

interface Joint {
  readonly parts: PlacedChannel[];
  sensor: string;
}

function startOf(placed: PlacedChannel): number {
  return (placed.channel.tMs[0] ?? 0) + placed.shiftMs;
}

function endOf(placed: PlacedChannel): number {
  return (placed.channel.tMs.at(-1) ?? 0) + placed.shiftMs;
}

/** Returns whether two channels of one quantity and place can be one sensor: they do not run at the same time, or say the same where they do. */
function continues(a: PlacedChannel, b: PlacedChannel): boolean {
  if (endOf(a) < startOf(b) || endOf(b) < startOf(a)) return true;
  const x = a.channel;
  const y = b.channel;
  let i = 0;
  let j = 0;
  let common = 0;
  let same = 0;
  while (i < x.tMs.length && j < y.tMs.length) {
    const tx = (x.tMs[i] ?? 0) + a.shiftMs;
    const ty = (y.tMs[j] ?? 0) + b.shiftMs;
    if (tx === ty) {
      const vx = x.value[i] ?? NaN;
      const vy = y.value[j] ?? NaN;
      if (!Number.isNaN(vx) && !Number.isNaN(vy)) {
        common += 1;
        if (vx === vy) same += 1;
      }
      i += 1;
      j += 1;
    } else if (tx < ty) i += 1;
    else j += 1;
  }
  return common > 0 && same >= common * 0.98;
}

/**
 * Returns the channels of a case from those of its files: parts of one quantity at one place that continue one another in time
 * (or repeat one another) become one channel; parts that run side by side with other values stay apart as another sensor.
 * Shape   times are case time. Channels of one table keep sharing `tMs` and `line`. Input arrays are not modified.
 */
export function joinChannels(placed: readonly PlacedChannel[]): { channels: Channel[]; findings: Finding[] } {
  const byPlace = new Map<string, Joint[]>();
  const order: Joint[] = [];
  for (const part of placed) {
    const { channel } = part;
    const key = `${channel.quantity}\u0000${channel.site ?? ''}\u0000${channel.sensor}\u0000${channel.quantity === 'other' ? channel.label : ''}\u0000${channel.unit}`;
    const joints = byPlace.get(key) ?? [];
    let joint = joints.find((candidate) => candidate.parts.every((own) => continues(own, part)));
    if (joint === undefined) {
      joint = { parts: [], sensor: channel.sensor };
      joints.push(joint);
      order.push(joint);
    }
    joint.parts.push(part);
    byPlace.set(key, joints);
  }
  numberTwins(byPlace);
  const shifted = new Map<Float64Array, Map<number, Float64Array>>();
  const findings: Finding[] = [];
  const channels = order.flatMap((joint): Channel[] => {
    const [first] = joint.parts;
    if (first === undefined) return [];
    if (joint.parts.length === 1) return [toChannel(first, joint.sensor, shiftOnce(first, shifted))];
    return [joinParts(joint, findings)];
  });
  return { channels, findings };
}

/** Numbers the sensors that one place turned out to have. */
function numberTwins(byPlace: ReadonlyMap<string, readonly Joint[]>): void {
  for (const joints of byPlace.values()) {
    const [first] = joints;
    const quantity = first?.parts[0]?.channel.quantity;
    if (joints.length < 2 || quantity === undefined || !QUANTITY_FACTS[quantity].ofSensor) continue;
    for (const [i, joint] of joints.entries()) {
      const base = joint.sensor === '' ? '' : `${joint.sensor} `;
      joint.sensor = i === 0 && joint.sensor !== '' ? joint.sensor : `${base}${i + 1}`;
    }
  }
}

function shiftOnce(part: PlacedChannel, shifted: Map<Float64Array, Map<number, Float64Array>>): Float64Array {
  const { tMs } = part.channel;
  const byShift = shifted.get(tMs) ?? new Map<number, Float64Array>();
  let out = byShift.get(part.shiftMs);
  if (out === undefined) {
    out = tMs.map((t) => t + part.shiftMs);
    byShift.set(part.shiftMs, out);
    shifted.set(tMs, byShift);
  }
  return out;
}

function toChannel(part: PlacedChannel, sensor: string, tMs: Float64Array): Channel {
  const { quantity, label, unit, site, layout, value, mark, line } = part.channel;
  return { channelId: '', quantity, label, unit, site, sensor, sourceIndex: part.sourceIndex, layout, ...commonFacts([part]), tMs, value, mark, line };
}

/** What all parts say of the making of their values; of different device holds the longest, which leaves nothing out. */
function commonFacts(parts: readonly PlacedChannel[]): Pick<Channel, 'valueMaking' | 'deviceHoldS'> {
  const [making, ...others] = [...new Set(parts.map(({ channel }) => channel.valueMaking))];
  const holds = parts.flatMap(({ channel }) => channel.deviceHoldS ?? []);
  return { ...(making === undefined || others.length > 0 ? {} : { valueMaking: making }), ...(holds.length === 0 ? {} : { deviceHoldS: Math.max(...holds) }) };
}

function joinParts(joint: Joint, findings: Finding[]): Channel {
  const parts = [...joint.parts].sort((a, b) => startOf(a) - startOf(b) || a.sourceIndex - b.sourceIndex);
  const length = parts.reduce((sum, part) => sum + part.channel.tMs.length, 0);
  const tMs = new Float64Array(length);
  const line = new Uint32Array(length);
  const value = new Float64Array(length);
  const mark = new Uint8Array(length);
  let at = 0;
  for (const part of parts) {
    for (let i = 0; i < part.channel.tMs.length; i += 1) tMs[at + i] = (part.channel.tMs[i] ?? 0) + part.shiftMs;
    line.set(part.channel.line, at);
    value.set(part.channel.value, at);
    mark.set(part.channel.mark, at);
    at += part.channel.tMs.length;
  }
  const [first] = parts;
  const column: ValueColumn = { quantity: first?.channel.quantity ?? 'other', value, mark };
  const ordered = orderRows(tMs, line, [column]);
  const sources = new Set(parts.map((part) => part.sourceIndex));
  const label = first?.channel.label ?? '';
  findings.push({
    code: 'channel-joined',
    severity: 'note',
    message: `"${label}" was joined from ${parts.length} parts${sources.size > 1 ? ` of ${sources.size} files` : ''} that continue one another.`,
    count: parts.length,
  });
  const facts = commonFacts(parts);
  if (parts.some(({ channel }) => channel.valueMaking !== facts.valueMaking)) {
    findings.push({ code: 'value-making-differs', severity: 'warning', message: `"${label}": its files state different makings of their values; it is taken as not stated.`, count: 1 });
  }
  if (ordered.nConflicts > 0) findings.push({ code: 'conflicting-values', severity: 'warning', message: `"${label}": two files give different values at one instant; the first plausible one was kept.`, count: ordered.nConflicts });
  return {
    channelId: '',
    quantity: column.quantity,
    label,
    unit: first?.channel.unit ?? '',
    site: first?.channel.site ?? null,
    sensor: joint.sensor,
    sourceIndex: first?.sourceIndex ?? 0,
    layout: parts.every((part) => part.channel.layout === 'wide') ? 'wide' : 'long',
    ...facts,
    tMs: ordered.tMs,
    value: column.value,
    mark: column.mark,
    line: ordered.line,
  };
}
