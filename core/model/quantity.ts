/** What a channel measures. `other` is a numeric column that no rule recognised: kept, and counted as evidence that the recorder ran. */
export const QUANTITIES = [
  'spo2',
  'perfusion-index',
  'pulse-rate',
  'pulse-amplitude',
  'heart-rate',
  'art-sys',
  'art-dia',
  'art-mean',
  'nibp-sys',
  'nibp-dia',
  'nibp-mean',
  'temp-core',
  'temp',
  'etco2',
  'fio2',
  'resp-rate',
  'other',
] as const;
export type Quantity = (typeof QUANTITIES)[number];

export type Lane = 'spo2' | 'perfusion' | 'rate' | 'pressure' | 'temperature' | 'gas' | 'none';

export interface QuantityFacts {
  readonly name: string;
  /** Canonical unit, UCUM spelling; '' where the quantity has none. */
  readonly unit: string;
  /** Values outside are implausible (inclusive limits). null: no limits applied. */
  readonly plausible: readonly [number, number] | null;
  /** Whether 0 can be a measurement. Elsewhere 0 is a filler for "no value". */
  readonly zeroIsMeasurement: boolean;
  /** Belongs to an oximeter sensor, so it carries a site. */
  readonly ofSensor: boolean;
  readonly lane: Lane;
  /** ISO/IEEE 11073-10101 reference id and code where handbook 8.2 gives one. */
  readonly mdc: { readonly refId: string; readonly code: number } | null;
  readonly loinc: readonly string[];
}

/**
 * Facts of each quantity.
 * Source: plausible limits of SpO2, perfusion index and pulse rate: analysis-spec 3; the others: handbook 6.3
 * (common practice without source). Codes: handbook 8.1 and 8.2.
 */
export const QUANTITY_FACTS: Readonly<Record<Quantity, QuantityFacts>> = {
  'spo2': { name: 'SpO2', unit: '%', plausible: [1, 100], zeroIsMeasurement: false, ofSensor: true, lane: 'spo2', mdc: { refId: 'MDC_PULS_OXIM_SAT_O2', code: 150456 }, loinc: ['59408-5', '2708-6'] },
  'perfusion-index': { name: 'Perfusion index', unit: '', plausible: [0.01, 40], zeroIsMeasurement: false, ofSensor: true, lane: 'perfusion', mdc: { refId: 'MDC_PULS_OXIM_PERF_REL', code: 150448 }, loinc: ['61006-3'] },
  'pulse-rate': { name: 'Pulse rate', unit: '/min', plausible: [15, 300], zeroIsMeasurement: false, ofSensor: true, lane: 'rate', mdc: { refId: 'MDC_PULS_OXIM_PULS_RATE', code: 149530 }, loinc: ['8889-8'] },
  'pulse-amplitude': { name: 'Pulse amplitude', unit: '', plausible: null, zeroIsMeasurement: false, ofSensor: true, lane: 'none', mdc: null, loinc: [] },
  'heart-rate': { name: 'Heart rate (ECG)', unit: '/min', plausible: [15, 300], zeroIsMeasurement: false, ofSensor: false, lane: 'rate', mdc: { refId: 'MDC_ECG_HEART_RATE', code: 147842 }, loinc: ['8867-4'] },
  'art-sys': { name: 'Arterial pressure, systolic', unit: 'mm[Hg]', plausible: [20, 300], zeroIsMeasurement: false, ofSensor: false, lane: 'pressure', mdc: { refId: 'MDC_PRESS_BLD_ART_ABP_SYS', code: 150037 }, loinc: ['76215-3'] },
  'art-dia': { name: 'Arterial pressure, diastolic', unit: 'mm[Hg]', plausible: [5, 225], zeroIsMeasurement: false, ofSensor: false, lane: 'pressure', mdc: { refId: 'MDC_PRESS_BLD_ART_ABP_DIA', code: 150038 }, loinc: ['76213-8'] },
  'art-mean': { name: 'Arterial pressure, mean', unit: 'mm[Hg]', plausible: [10, 250], zeroIsMeasurement: false, ofSensor: false, lane: 'pressure', mdc: { refId: 'MDC_PRESS_BLD_ART_ABP_MEAN', code: 150039 }, loinc: ['76214-6'] },
  'nibp-sys': { name: 'Cuff pressure, systolic', unit: 'mm[Hg]', plausible: [20, 300], zeroIsMeasurement: false, ofSensor: false, lane: 'pressure', mdc: { refId: 'MDC_PRESS_BLD_NONINV_SYS', code: 150021 }, loinc: ['76534-7'] },
  'nibp-dia': { name: 'Cuff pressure, diastolic', unit: 'mm[Hg]', plausible: [5, 225], zeroIsMeasurement: false, ofSensor: false, lane: 'pressure', mdc: { refId: 'MDC_PRESS_BLD_NONINV_DIA', code: 150022 }, loinc: ['76535-4'] },
  'nibp-mean': { name: 'Cuff pressure, mean', unit: 'mm[Hg]', plausible: [10, 250], zeroIsMeasurement: false, ofSensor: false, lane: 'pressure', mdc: { refId: 'MDC_PRESS_BLD_NONINV_MEAN', code: 150023 }, loinc: ['76536-2'] },
  'temp-core': { name: 'Core temperature', unit: 'Cel', plausible: [25, 45], zeroIsMeasurement: false, ofSensor: false, lane: 'temperature', mdc: null, loinc: ['8329-5', '60836-4', '8334-5', '8333-7'] },
  'temp': { name: 'Temperature', unit: 'Cel', plausible: [10, 45], zeroIsMeasurement: false, ofSensor: false, lane: 'temperature', mdc: { refId: 'MDC_TEMP_BODY', code: 150364 }, loinc: ['8310-5'] },
  'etco2': { name: 'End-tidal CO2', unit: 'mm[Hg]', plausible: [0, 150], zeroIsMeasurement: true, ofSensor: false, lane: 'gas', mdc: { refId: 'MDC_CONC_AWAY_CO2_ET', code: 151708 }, loinc: ['19891-1', '19889-5'] },
  'fio2': { name: 'Inspired oxygen', unit: '%', plausible: [15, 100], zeroIsMeasurement: false, ofSensor: false, lane: 'gas', mdc: null, loinc: ['19994-3', '71835-3', '3150-6'] },
  'resp-rate': { name: 'Respiratory rate', unit: '/min', plausible: null, zeroIsMeasurement: false, ofSensor: false, lane: 'none', mdc: null, loinc: [] },
  'other': { name: 'Other', unit: '', plausible: null, zeroIsMeasurement: true, ofSensor: false, lane: 'none', mdc: null, loinc: [] },
};
