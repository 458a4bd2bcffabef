import type { PlainCase } from './plain-case.ts';

export interface MadeSignal {
  readonly label: string;
  readonly transducer?: string;
  readonly dimension?: string;
  readonly physical?: readonly [number, number];
  readonly digital?: readonly [number, number];
  /** Stored numbers, one list for each data record. */
  readonly records: readonly (readonly number[])[];
}

export interface MadeEdf {
  readonly kind?: 'EDF' | 'EDF+C' | 'EDF+D';
  readonly patient?: string;
  readonly recording?: string;
  readonly date?: string;
  readonly time?: string;
  readonly recordS: number;
  readonly nRecords?: number;
  readonly signals: readonly MadeSignal[];
  /** Annotation lists of each data record, as bytes between the lists' ends: "+0\x14\x14". */
  readonly annotations?: readonly string[];
}

/** Returns an EDF or EDF+ file made by the rules of Kemp et al. 1992 and Kemp and Olivan 2003 (from memory). */
export function edfBytes(made: MadeEdf): Uint8Array {
  const encoder = new TextEncoder();
  const lists = made.annotations?.map((list) => encoder.encode(list));
  const listSamples = lists === undefined ? 0 : Math.max(1, ...lists.map((list) => Math.ceil((list.length + 1) / 2)));
  const signals = [
    ...made.signals.map((signal) => ({ dimension: '', transducer: '', physical: [-32768, 32767] as const, digital: [-32768, 32767] as const, ...signal })),
    ...(lists === undefined ? [] : [{ label: 'EDF Annotations', transducer: '', dimension: '', physical: [-1, 1] as const, digital: [-32768, 32767] as const, records: lists.map(() => new Array<number>(listSamples).fill(0)) }]),
  ];
  const nRecords = Math.max(0, ...signals.map((signal) => signal.records.length));
  const kind = made.kind ?? (lists === undefined ? 'EDF' : 'EDF+C');
  const field = (value: string | number, width: number): string => String(value).slice(0, width).padEnd(width);
  const header = [
    field('0', 8), field(made.patient ?? 'X X X X', 80), field(made.recording ?? 'Startdate 04-MAR-2031 X X X', 80), field(made.date ?? '04.03.31', 8), field(made.time ?? '08.00.00', 8),
    field(256 * (signals.length + 1), 8), field(kind === 'EDF' ? '' : kind, 44), field(made.nRecords ?? nRecords, 8), field(made.recordS, 8), field(signals.length, 4),
    ...signals.map((signal) => field(signal.label, 16)), ...signals.map((signal) => field(signal.transducer, 80)), ...signals.map((signal) => field(signal.dimension, 8)),
    ...signals.map((signal) => field(signal.physical[0], 8)), ...signals.map((signal) => field(signal.physical[1], 8)), ...signals.map((signal) => field(signal.digital[0], 8)), ...signals.map((signal) => field(signal.digital[1], 8)),
    ...signals.map(() => field('', 80)), ...signals.map((signal) => field(signal.records[0]?.length ?? 1, 8)), ...signals.map(() => field('', 32)),
  ].join('');
  const parts: Uint8Array[] = [encoder.encode(header)];
  for (let r = 0; r < nRecords; r += 1) {
    for (const signal of signals) {
      const samples = signal.records[r] ?? [];
      const bytes = new Uint8Array(2 * samples.length);
      samples.forEach((value, i) => new DataView(bytes.buffer).setInt16(2 * i, value, true));
      if (signal.label === 'EDF Annotations') bytes.set(lists?.[r] ?? new Uint8Array(0));
      parts.push(bytes);
    }
  }
  return new Uint8Array(Buffer.concat(parts));
}

/** Returns the case as EDF+: one sample of each signal a data record, losses as −1, drugs and positions as annotations. */
export function asEdf(plain: PlainCase): Uint8Array {
  const annotations = plain.spo2.map((_, step) => {
    const own = [
      ...plain.boluses.filter((bolus) => bolus.step === step).map((bolus) => `${bolus.drug} ${bolus.amount} ${bolus.unit === 'ug' ? 'mcg' : 'mg'}`),
      ...plain.positions.filter((position) => position.step === step).map((position) => position.text),
    ];
    const at = (step * plain.stepMs) / 1000;
    return [`+${at}\x14\x14\0`, ...own.map((text) => `+${at}\x14${text}\x14\0`)].join('');
  });
  return edfBytes({
    recordS: plain.stepMs / 1000,
    signals: [
      { label: 'SpO2 finger', dimension: '%', physical: [-10, 120], digital: [-10, 120], records: plain.spo2.map((value) => [value ?? -1]) },
      { label: 'HR', dimension: 'bpm', physical: [0, 300], digital: [0, 300], records: plain.heartRate.map((value) => [value]) },
    ],
    annotations,
  });
}
