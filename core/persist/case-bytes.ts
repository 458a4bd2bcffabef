import { assert } from '../base/assert.ts';
import { fail, ok } from '../base/result.ts';
import type { Result } from '../base/result.ts';
import type { CaseAnalysis } from '../model/analysis.ts';
import type { CasePart, PartChannel } from '../model/case-part.ts';
import type { CaseRecord } from '../model/case.ts';
import type { Channel } from '../model/channel.ts';
import type { ReviewableCase } from '../model/review.ts';
import { caseHeadSchema, reviewableCaseSchema } from './case-schema.ts';
import type { ArrayPlace, ArrayType, CaseHead, Stored, StoredPart } from './case-schema.ts';

/*
 * One case as bytes, for the store and for the way from host to page:
 *
 *   0   8  magic
 *   8   4  version
 *   12  4  length of the JSON head, padding of spaces included (a multiple of 8)
 *   16  4  checksum of everything from byte 24 on
 *   20  4  total length in units of 8 bytes
 *   24     JSON head (UTF-8)
 *          arrays, each starting at a multiple of 8, little-endian
 *
 * Typed arrays are written and viewed in the machine's own byte order: every platform Electron and the
 * supported browsers run on is little-endian, and `assertLittleEndian` refuses any other.
 */

/** Raised by one with every change of the form; an older program refuses a newer file instead of misreading it. */
export const CASE_BYTES_VERSION = 4;

const MAGIC = [0x89, 0x4c, 0x41, 0x43, 0x55, 0x4e, 0x41, 0x0a];
const FIXED_BYTES = 24;
const ALIGN = 8;

type StoredArray = Float64Array | Uint32Array | Uint8Array;

/** What a stored case holds. */
export interface DecodedCase {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis | null;
}

/**
 * Returns one case as bytes.
 * Shape    arrays that are shared or equal (times and lines of one table) are written once; inputs are not modified.
 * Missing  NaN in channel arrays is kept bit for bit. JSON has no NaN, so none may stand anywhere else.
 * Errors   throws when a number outside the arrays is not finite (our bug).
 */
export function encodeCase(record: CaseRecord, analysis: CaseAnalysis | null): Uint8Array<ArrayBuffer> {
  assertLittleEndian();
  const arrays = new ArrayCollector();
  const store = <C extends PartChannel>(channel: C): Stored<C> => ({
    ...channel,
    tMs: arrays.add(channel.tMs),
    value: arrays.add(channel.value),
    mark: arrays.add(channel.mark),
    line: arrays.add(channel.line),
  });
  const channels = record.channels.map(store);
  const parts = record.parts?.map((part): StoredPart => ({ ...part, channels: part.channels.map(store) }));
  const head: CaseHead = { arrays: arrays.places, record: { ...record, channels, parts }, analysis };
  const json = new TextEncoder().encode(JSON.stringify(head, refuseNonFinite));
  const headLength = aligned(json.length);
  const total = FIXED_BYTES + headLength + arrays.byteLength;

  const bytes = new Uint8Array(total);
  bytes.set(MAGIC, 0);
  bytes.fill(0x20, FIXED_BYTES + json.length, FIXED_BYTES + headLength);
  bytes.set(json, FIXED_BYTES);
  for (const { array, place } of arrays.entries) {
    bytes.set(new Uint8Array(array.buffer, array.byteOffset, array.byteLength), FIXED_BYTES + headLength + place.offset);
  }
  const view = new DataView(bytes.buffer);
  view.setUint32(8, CASE_BYTES_VERSION, true);
  view.setUint32(12, headLength, true);
  view.setUint32(20, total / ALIGN, true);
  view.setUint32(16, checksum(bytes), true);
  return bytes;
}

/**
 * Returns the case that `encodeCase` wrote.
 * Shape    the channel arrays are views into `bytes` (into a copy, when `bytes` does not start at a multiple of 8);
 *          arrays that were shared are shared again.
 * Missing  `analysis` is null when none was stored, or when it is of another version's shape.
 * Errors   `case-foreign`: not a stored case; `case-newer`: written by a later version; `case-damaged`: cut short,
 *          altered, or its parts contradict each other. Never throws on bad bytes.
 */
export function decodeCase(input: Uint8Array): Result<DecodedCase> {
  const opened = openBytes(input);
  return opened.ok ? decodeOpened(opened.value) : opened;
}

/**
 * Returns what reviews need of the case that `encodeCase` wrote; several times faster than all of it, for work over a whole library.
 * `productVersion`: of this program. The rest of an analysis is passed over only where this very version wrote it: of another's it is
 * not known whether it has the shape that `decodeCase` asks for, and the whole case is decoded then.
 * Missing  `analysis` as in `decodeCase`.
 * Errors   those of `decodeCase`; contradictions between a case's samples are left for whoever reads them.
 */
export function decodeForReview(input: Uint8Array, productVersion: string): Result<{ readonly record: ReviewableCase['record']; readonly analysis: ReviewableCase['analysis'] | null }> {
  const opened = openBytes(input);
  if (!opened.ok) return opened;
  const parsed = reviewableCaseSchema.safeParse(opened.value.head);
  return parsed.success && parsed.data.analysis.productVersion === productVersion ? ok(parsed.data) : decodeOpened(opened.value);
}

/** A case whose bytes are whole, before its description is looked at. */
interface OpenedBytes {
  readonly bytes: Uint8Array;
  /** Where the arrays begin. */
  readonly base: number;
  readonly total: number;
  readonly head: unknown;
}

function openBytes(input: Uint8Array): Result<OpenedBytes> {
  assertLittleEndian();
  if (input.length < FIXED_BYTES || MAGIC.some((byte, i) => input[i] !== byte)) {
    return input.length > 0 && MAGIC.every((byte, i) => i >= input.length || input[i] === byte)
      ? damaged('it is cut short')
      : fail({ code: 'case-foreign', message: 'This is not a stored case of this program.', remedy: 'Import the original export files again.' });
  }
  const bytes = input.byteOffset % ALIGN === 0 ? input : new Uint8Array(input);
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const version = view.getUint32(8, true);
  if (version > CASE_BYTES_VERSION) {
    return fail({
      code: 'case-newer',
      message: `This case was stored by a newer version of the program (form ${version}; this one reads up to ${CASE_BYTES_VERSION}).`,
      remedy: 'Open it with the newer version, or import the original export files again.',
    });
  }
  if (version < 1) return damaged('its version is unreadable');
  const headLength = view.getUint32(12, true);
  const total = view.getUint32(20, true) * ALIGN;
  if (bytes.length < total) return damaged('it is cut short');
  if (bytes.length > total || headLength % ALIGN !== 0 || FIXED_BYTES + headLength > total) return damaged('its lengths contradict each other');
  if (view.getUint32(16, true) !== checksum(bytes)) return damaged('its checksum does not match');

  const base = FIXED_BYTES + headLength;
  try {
    const head: unknown = JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(bytes.subarray(FIXED_BYTES, base)));
    return ok({ bytes, base, total, head });
  } catch {
    return damaged('its description is not readable');
  }
}

function decodeOpened({ bytes, base, total, head: json }: OpenedBytes): Result<DecodedCase> {
  const head = parseHead(json);
  if (head === null) return damaged('its description is not readable');
  const arrays: StoredArray[] = [];
  for (const place of head.arrays) {
    if (place.offset % ALIGN !== 0 || base + place.offset + place.length * WIDTH[place.type] > total) return damaged('an array lies outside the file');
    arrays.push(viewOf(place, bytes, base));
  }
  const channels: Channel[] = [];
  for (const stored of head.record.channels) {
    const samples = samplesOf(stored, arrays);
    if (samples === null) return damaged(`the samples of "${stored.label}" do not fit together`);
    channels.push({ ...stored, ...samples });
  }
  const { parts: storedParts, ...rest } = head.record;
  if (storedParts === undefined) return ok({ record: { ...rest, channels }, analysis: head.analysis });
  if (storedParts.length !== rest.sources.length) return damaged('its sources and their parts do not fit together');
  const parts: CasePart[] = [];
  for (const stored of storedParts) {
    const own: PartChannel[] = [];
    for (const channel of stored.channels) {
      const samples = samplesOf(channel, arrays);
      if (samples === null) return damaged(`the samples of "${channel.label}" do not fit together`);
      own.push({ ...channel, ...samples });
    }
    parts.push({ ...stored, channels: own });
  }
  return ok({ record: { ...rest, channels, parts }, analysis: head.analysis });
}

const WIDTH: Readonly<Record<ArrayType, number>> = { f64: 8, u32: 4, u8: 1 };

class ArrayCollector {
  readonly entries: { readonly array: StoredArray; readonly place: ArrayPlace }[] = [];
  byteLength = 0;
  readonly #known = new Map<StoredArray, number>();

  get places(): ArrayPlace[] {
    return this.entries.map((entry) => entry.place);
  }

  /** Returns the index of `array`, or of an equal one that is already there. */
  add(array: StoredArray): number {
    const known = this.#known.get(array);
    if (known !== undefined) return known;
    const type = typeOf(array);
    let index = this.entries.findIndex((entry) => entry.place.type === type && sameBits(entry.array, array));
    if (index === -1) {
      index = this.entries.length;
      this.entries.push({ array, place: { type, offset: this.byteLength, length: array.length } });
      this.byteLength += aligned(array.byteLength);
    }
    this.#known.set(array, index);
    return index;
  }
}

/** Bits, not numbers: NaN must equal NaN, and 0 must not swallow -0. */
function sameBits(a: StoredArray, b: StoredArray): boolean {
  if (a.byteLength !== b.byteLength) return false;
  const x = new Uint8Array(a.buffer, a.byteOffset, a.byteLength);
  const y = new Uint8Array(b.buffer, b.byteOffset, b.byteLength);
  for (let i = 0; i < x.length; i += 1) if (x[i] !== y[i]) return false;
  return true;
}

function typeOf(array: StoredArray): ArrayType {
  if (array instanceof Float64Array) return 'f64';
  return array instanceof Uint32Array ? 'u32' : 'u8';
}

function viewOf(place: ArrayPlace, bytes: Uint8Array, base: number): StoredArray {
  const at = bytes.byteOffset + base + place.offset;
  switch (place.type) {
    case 'f64':
      return new Float64Array(bytes.buffer, at, place.length);
    case 'u32':
      return new Uint32Array(bytes.buffer, at, place.length);
    case 'u8':
      return new Uint8Array(bytes.buffer, at, place.length);
  }
}

type Samples = Pick<PartChannel, 'tMs' | 'value' | 'mark' | 'line'>;

/** Returns the arrays of a channel, or null where they are of another type or length than they must be. */
function samplesOf(stored: Readonly<Record<keyof Samples, number>>, arrays: readonly StoredArray[]): Samples | null {
  const tMs = arrays[stored.tMs];
  const value = arrays[stored.value];
  const mark = arrays[stored.mark];
  const line = arrays[stored.line];
  if (!(tMs instanceof Float64Array && value instanceof Float64Array && mark instanceof Uint8Array && line instanceof Uint32Array)) return null;
  if (value.length !== tMs.length || mark.length !== tMs.length || line.length !== tMs.length) return null;
  return { tMs, value, mark, line };
}

function parseHead(json: unknown): CaseHead | null {
  const parsed = caseHeadSchema.safeParse(json);
  if (parsed.success) return parsed.data;
  // An analysis is only a cache: one that another version of the program wrote is left out and worked out anew.
  const withoutAnalysis = caseHeadSchema.safeParse(typeof json === 'object' ? { ...json, analysis: null } : json);
  return withoutAnalysis.success ? withoutAnalysis.data : null;
}

function refuseNonFinite(key: string, value: unknown): unknown {
  if (typeof value === 'number') assert(Number.isFinite(value), `case field ${key} is ${value}; only channel arrays may hold such numbers`);
  return value;
}

function damaged(how: string): Result<never> {
  return fail({ code: 'case-damaged', message: `This stored case is damaged: ${how}.`, remedy: 'Import the original export files again; the damaged copy will be replaced.' });
}

function aligned(length: number): number {
  return Math.ceil(length / ALIGN) * ALIGN;
}

/**
 * Returns a 32-bit checksum over everything after the fixed part.
 * FNV-1a over 32-bit words: each step is a bijection, so any change confined to one word is seen for certain
 * and others miss with a chance of 1 in 2^32. It guards against damage, not against a forger.
 */
function checksum(bytes: Uint8Array): number {
  const words = new Uint32Array(bytes.buffer, bytes.byteOffset + FIXED_BYTES, (bytes.byteLength - FIXED_BYTES) >>> 2);
  let hash = 0x811c9dc5;
  for (let i = 0; i < words.length; i += 1) hash = Math.imul(hash ^ (words[i] ?? 0), 0x01000193);
  return hash >>> 0;
}

function assertLittleEndian(): void {
  assert(new Uint8Array(new Uint32Array([1]).buffer)[0] === 1, 'stored cases need a little-endian machine');
}
