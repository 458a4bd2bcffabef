import { fail, ok, type Result } from '../../base/result.ts';
import { DAY_MS, daysFromCivil, daysInMonth } from '../../time/civil.ts';

export const FIXED_HEADER_BYTES = 256;
export const BYTES_PER_SIGNAL = 256;
/** More signals than this, or longer data records, are no recording of a case. */
const MAX_SIGNALS = 1024;
const MAX_RECORD_BYTES = 16 * 1024 * 1024;

export interface EdfSignal {
  readonly label: string;
  readonly transducer: string;
  readonly dimension: string;
  readonly physicalMin: number;
  readonly physicalMax: number;
  readonly digitalMin: number;
  readonly digitalMax: number;
  readonly samplesPerRecord: number;
  readonly isAnnotations: boolean;
}

export interface EdfHeader {
  readonly kind: 'EDF' | 'EDF+C' | 'EDF+D';
  readonly headerBytes: number;
  /** -1 where the recorder did not say. */
  readonly nRecords: number;
  readonly recordMs: number;
  readonly recordBytes: number;
  readonly signals: readonly EdfSignal[];
  /** Wall-clock start counted as if it were UTC; from midnight where the date is not stated. */
  readonly startMs: number;
  /** False where the date was taken out: 1 January 1985 beside no date in the recording field. */
  readonly hasDate: boolean;
  /** The fields that name patient and recording, for the door to count and to find the same words elsewhere; never kept. */
  readonly patient: string;
  readonly recording: string;
}

const MONTHS = ['JAN', 'FEB', 'MAR', 'APR', 'MAY', 'JUN', 'JUL', 'AUG', 'SEP', 'OCT', 'NOV', 'DEC'];

/** Returns whether a file begins like EDF: the version field, and figures where the header has figures. */
export function looksLikeEdf(head: Uint8Array): boolean {
  if (head.length < FIXED_HEADER_BYTES) return false;
  const text = asciiOf(head, 0, FIXED_HEADER_BYTES);
  return text.startsWith('0       ') && /^\d+ *$/.test(text.slice(184, 192)) && /^\d+ *$/.test(text.slice(252, 256));
}

/** Returns how many bytes of the file the header takes, from its first 256 bytes; NaN when that is not said. */
export function headerLength(fixed: Uint8Array): number {
  const nSignals = figure(asciiOf(fixed, 252, 256));
  return FIXED_HEADER_BYTES + BYTES_PER_SIGNAL * nSignals;
}

/**
 * Returns the header of an EDF or EDF+ file.
 * Shape   `bytes` holds the whole header: 256 bytes and 256 for each signal, fields of fixed length in ASCII.
 * Units   record duration in ms (seconds in the file).
 * Missing the fields that name patient and recording are handed on for the door alone.
 * Errors  `broken-edf` names the field that cannot be right.
 * Source  Kemp et al. 1992 (EDF), Kemp and Olivan 2003 (EDF+), as summed up in handbook 8.6, where the details are from memory.
 */
export function readEdfHeader(bytes: Uint8Array): Result<EdfHeader> {
  const broken = (what: string): Result<EdfHeader> => fail({ code: 'broken-edf', message: `The EDF header is broken: ${what}.`, line: 1, remedy: 'Export the recording again; check that it was copied whole.' });
  const field = (from: number, to: number): string => asciiOf(bytes, from, to).trim();
  const nSignals = figure(field(252, 256));
  if (!(nSignals >= 1 && nSignals <= MAX_SIGNALS)) return broken(`it states ${field(252, 256)} signals`);
  const headerBytes = figure(field(184, 192));
  if (headerBytes !== FIXED_HEADER_BYTES + BYTES_PER_SIGNAL * nSignals) return broken(`it states ${field(184, 192)} header bytes where ${nSignals} signals make ${FIXED_HEADER_BYTES + BYTES_PER_SIGNAL * nSignals}`);
  if (bytes.length < headerBytes) return broken('the file ends inside it');
  const nRecords = figure(field(236, 244));
  if (!Number.isInteger(nRecords) || nRecords < -1) return broken(`it states ${field(236, 244)} data records`);
  const recordS = figure(field(244, 252));
  if (!(recordS >= 0 && recordS <= DAY_MS / 1000)) return broken(`it states data records of ${field(244, 252)} s`);
  const reserved = field(192, 236);
  const kind = reserved.startsWith('EDF+C') ? 'EDF+C' : reserved.startsWith('EDF+D') ? 'EDF+D' : 'EDF';
  const signals: EdfSignal[] = [];
  let recordBytes = 0;
  const part = (i: number, before: number, width: number): string => field(FIXED_HEADER_BYTES + nSignals * before + i * width, FIXED_HEADER_BYTES + nSignals * before + (i + 1) * width);
  for (let i = 0; i < nSignals; i += 1) {
    const label = part(i, 0, 16);
    const samplesPerRecord = figure(part(i, 216, 8));
    if (!(Number.isInteger(samplesPerRecord) && samplesPerRecord >= 1)) return broken(`signal ${i + 1} ("${label}") states ${part(i, 216, 8)} samples in a data record`);
    recordBytes += 2 * samplesPerRecord;
    if (recordBytes > MAX_RECORD_BYTES) return broken('its data records are longer than 16 MB');
    signals.push({
      label,
      transducer: part(i, 16, 80),
      dimension: part(i, 96, 8),
      physicalMin: figure(part(i, 104, 8)),
      physicalMax: figure(part(i, 112, 8)),
      digitalMin: figure(part(i, 120, 8)),
      digitalMax: figure(part(i, 128, 8)),
      samplesPerRecord,
      isAnnotations: label === 'EDF Annotations',
    });
  }
  if (recordS === 0 && signals.some((signal) => !signal.isAnnotations)) return broken('it states data records of 0 s, which can hold annotations only');
  const clock = /^(\d\d)[.:](\d\d)[.:](\d\d)$/.exec(field(176, 184));
  const [, hour = '', minute = '', second = ''] = clock ?? [];
  if (clock === null || Number(hour) > 23 || Number(minute) > 59 || Number(second) > 59) return broken(`its start time "${field(176, 184)}" is no time`);
  const date = dateOf(field(168, 176), asciiOf(bytes, 88, 168));
  if (date === null) return broken(`its start date "${field(168, 176)}" is no date`);
  const clockMs = ((Number(hour) * 60 + Number(minute)) * 60 + Number(second)) * 1000;
  return ok({ kind, headerBytes, nRecords, recordMs: recordS * 1000, recordBytes, signals, startMs: date.days * DAY_MS + clockMs, hasDate: date.isStated, patient: field(8, 88), recording: field(88, 168) });
}

/**
 * The day on which the recording began. Years 85 to 99 are 1985 to 1999, 00 to 84 are 2000 to 2084; a date in the recording
 * field ("Startdate 02-MAR-2031") has its year in full. A recording field that says `X`, or nothing, beside 01.01.85 means
 * that the date was taken out (the last from memory).
 */
function dateOf(text: string, recording: string): { readonly days: number; readonly isStated: boolean } | null {
  const full = /^Startdate (\d\d)-([A-Z]{3})-(\d{4}) /.exec(recording);
  const month = MONTHS.indexOf(full?.[2] ?? '') + 1;
  if (full !== null && month > 0) {
    const days = daysOf(Number(full[3]), month, Number(full[1]));
    if (days !== null) return { days, isStated: true };
  }
  const short = /^(\d\d)[.\-/](\d\d)[.\-/](\d\d)$/.exec(text);
  if (short === null) return null;
  if (short[1] === '01' && short[2] === '01' && short[3] === '85') return { days: 0, isStated: false };
  const year = Number(short[3]);
  const days = daysOf(year >= 85 ? 1900 + year : 2000 + year, Number(short[2]), Number(short[1]));
  return days === null ? null : { days, isStated: true };
}

function daysOf(year: number, month: number, day: number): number | null {
  return month >= 1 && month <= 12 && day >= 1 && day <= daysInMonth(year, month) ? daysFromCivil(year, month, day) : null;
}

/** Reads a header field as a number; NaN when it is none. */
function figure(text: string): number {
  return /^\s*[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?\s*$/i.test(text) ? Number(text) : NaN;
}

/** Text of fixed fields; bytes that are no ASCII are read as Latin-1, which some recorders write (µ, °). */
function asciiOf(bytes: Uint8Array, from: number, to: number): string {
  return new TextDecoder('latin1').decode(bytes.subarray(from, to));
}
