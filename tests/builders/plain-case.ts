import type { Random } from '../simulator/random.ts';

/** A small case as nobody wrote it down yet, to be written in every way that the product reads. */
export interface PlainCase {
  readonly startMs: number;
  readonly stepMs: number;
  /** One entry a step; null where the value was lost. */
  readonly spo2: readonly (number | null)[];
  readonly heartRate: readonly number[];
  readonly boluses: readonly { readonly step: number; readonly drug: string; readonly atc: string; readonly amount: number; readonly unit: 'ug' | 'mg' }[];
  readonly positions: readonly { readonly step: number; readonly text: string }[];
}

const DRUGS = [
  { drug: 'phenylephrine', atc: 'C01CA06', amount: 100, unit: 'ug' },
  { drug: 'ephedrine', atc: 'C01CA26', amount: 6, unit: 'mg' },
  { drug: 'norepinephrine', atc: 'C01CA03', amount: 8, unit: 'ug' },
] as const;

/** Returns a random case with losses, boluses and positions, at least one of each now and then. */
export function makePlainCase(random: Random, stepsMs: readonly number[] = [1000, 5000, 10_000, 15_000]): PlainCase {
  const stepMs = random.pick(stepsMs);
  const n = random.int(120, 400);
  const spo2: (number | null)[] = [];
  let lostFor = 0;
  for (let i = 0; i < n; i += 1) {
    if (lostFor === 0 && i > 20 && random.chance(0.02)) lostFor = random.int(2, 40);
    spo2.push(lostFor > 0 ? null : random.int(90, 100));
    if (lostFor > 0) lostFor -= 1;
  }
  return {
    startMs: Date.UTC(2031, 2, 4, 8, 0, 0),
    stepMs,
    spo2,
    heartRate: spo2.map(() => random.int(55, 95)),
    boluses: Array.from({ length: random.int(0, 4) }, () => ({ step: random.int(0, n - 1), ...random.pick(DRUGS) })),
    positions: Array.from({ length: random.int(0, 2) }, () => ({ step: random.int(0, n - 1), text: random.pick(['arms tucked', 'prone', 'head down']) })),
  };
}

function isoAt(plain: PlainCase, step: number): string {
  return new Date(plain.startMs + step * plain.stepMs).toISOString();
}

/** Returns the case as three CSV files of one folder: trends (long), drugs, events. */
export function asCsv(plain: PlainCase, folder: string): Record<string, string> {
  const trends = ['time,name,value,unit'];
  plain.spo2.forEach((value, i) => {
    trends.push(`${isoAt(plain, i)},SpO2 finger,${value ?? '---'},%`, `${isoAt(plain, i)},HR,${plain.heartRate[i] ?? ''},/min`);
  });
  const files: Record<string, string> = { [`${folder}/trends.csv`]: trends.join('\n') };
  if (plain.boluses.length > 0) files[`${folder}/drugs.csv`] = ['time,drug,dose,unit', ...plain.boluses.map((bolus) => `${isoAt(plain, bolus.step)},${bolus.drug},${bolus.amount},${bolus.unit}`)].join('\n');
  if (plain.positions.length > 0) files[`${folder}/events.csv`] = ['time,event', ...plain.positions.map((position) => `${isoAt(plain, position.step)},${position.text}`)].join('\n');
  return files;
}

const LOINC = 'http://loinc.org';
const UCUM = 'http://unitsofmeasure.org';
const FINGER = { coding: [{ system: 'http://snomed.info/sct', code: '7569003', display: 'Finger' }] };

/** Returns the case as FHIR resources: one Observation for each value, or one SampledData for each quantity. */
export function fhirResources(plain: PlainCase, samples: 'single values' | 'sampled data'): object[] {
  const who = { subject: { reference: 'Patient/p1', display: 'Not To Be Kept' }, encounter: { reference: 'Encounter/e1' } };
  const spo2 = { coding: [{ system: LOINC, code: '2708-6' }, { system: LOINC, code: '59408-5', display: 'Oxygen saturation in Arterial blood by Pulse oximetry' }] };
  const heartRate = { coding: [{ system: LOINC, code: '8867-4', display: 'Heart rate' }] };
  const out: object[] = [{ resourceType: 'Patient', id: 'p1', name: [{ family: 'Not-To-Be-Kept', given: ['Ever'] }], birthDate: '1961-02-03' }];
  if (samples === 'sampled data') {
    const sampled = (values: readonly (number | null)[], unit: string) => ({ origin: { value: 0, unit, system: UCUM, code: unit }, period: plain.stepMs, dimensions: 1, data: values.map((value) => value ?? 'E').join(' ') });
    const base = { resourceType: 'Observation', status: 'final', ...who, effectiveDateTime: isoAt(plain, 0) };
    out.push({ ...base, code: spo2, bodySite: FINGER, valueSampledData: sampled(plain.spo2, '%') }, { ...base, code: heartRate, valueSampledData: sampled(plain.heartRate, '/min') });
  } else {
    plain.spo2.forEach((value, i) => {
      const base = { resourceType: 'Observation', status: 'final', ...who, effectiveDateTime: isoAt(plain, i) };
      const own = value === null ? { dataAbsentReason: { coding: [{ code: 'error' }] } } : { valueQuantity: { value, unit: '%', system: UCUM, code: '%' } };
      out.push({ ...base, id: `s${i}`, code: spo2, bodySite: FINGER, ...own }, { ...base, id: `h${i}`, code: heartRate, valueQuantity: { value: plain.heartRate[i], unit: 'beats/minute', system: UCUM, code: '/min' } });
    });
  }
  for (const bolus of plain.boluses) {
    out.push({
      resourceType: 'MedicationAdministration',
      status: 'completed',
      ...who,
      encounter: undefined,
      context: who.encounter,
      effectiveDateTime: isoAt(plain, bolus.step),
      medicationCodeableConcept: { coding: [{ system: 'http://www.whocc.no/atc', code: bolus.atc }], text: bolus.drug },
      dosage: { dose: { value: bolus.amount, unit: bolus.unit, system: UCUM, code: bolus.unit } },
    });
  }
  for (const position of plain.positions) out.push({ resourceType: 'Procedure', status: 'completed', ...who, performedDateTime: isoAt(plain, position.step), code: { text: position.text } });
  return out;
}

/** Returns resources as a Bundle, indented or on one line. */
export function asBundle(resources: readonly object[], indent = 0): string {
  return JSON.stringify({ resourceType: 'Bundle', type: 'collection', entry: resources.map((resource, i) => ({ fullUrl: `urn:uuid:00000000-0000-4000-8000-${String(i).padStart(12, '0')}`, resource })) }, null, indent);
}

/** Returns resources one to a line. */
export function asNdjson(resources: readonly object[]): string {
  return `${resources.map((resource) => JSON.stringify(resource)).join('\n')}\n`;
}
