import type { CaseRecord } from '../../../core/model/case.ts';
import { DEFAULT_PARAMETERS } from '../../../core/model/parameters.ts';
import { decodeCase } from '../../../core/persist/case-bytes.ts';
import { analyzeCase } from '../../../core/pipeline/analyze-case.ts';
import { eightChannelCase, manyLaneCase, threeHourCase } from '../../bench/harness/built-cases.ts';
import { caseOf } from '../../builders/case-record.ts';
import { regularChannel } from '../../builders/channel.ts';
import { drugOf } from '../../builders/drug.ts';
import { eventOf } from '../../builders/event.ts';
import type { BuiltName, PictureCase, PictureCases, SampleName } from './picture.ts';

/** Two hours at 10 s in which every kind of state stands over another; the anaesthetic has no end on record. */
function stateCase(): CaseRecord {
  const n = 720;
  const isLost = (i: number): boolean => (i >= 150 && i < 168) || (i >= 400 && i < 460);
  return caseOf({
    caseId: 'H-020',
    epochMs: Date.UTC(2031, 2, 5, 7, 30, 0),
    zone: 'Europe/Zurich',
    channels: [
      regularChannel({ quantity: 'spo2', site: 'finger' }, Array.from({ length: n }, (_, i) => (isLost(i) ? null : 96 + (i % 3))), 10),
      regularChannel({ quantity: 'perfusion-index', site: 'finger' }, Array.from({ length: n }, (_, i) => (isLost(i) ? null : 1.4 + 0.6 * Math.sin(i / 40) + 0.02 * (i % 5))), 10),
      regularChannel({ quantity: 'heart-rate' }, Array.from({ length: n }, (_, i) => 66 + (i % 4)), 10),
    ],
    events: [
      eventOf({ kind: 'anaesthesia start', atS: 60, text: 'Anaesthesia start' }),
      eventOf({ kind: 'surgery start', atS: 1200, text: 'Incision' }),
      eventOf({ kind: 'surgery end', atS: 6400, text: 'Closure' }),
      eventOf({ kind: 'position', atS: 700, term: 'arms tucked', phase: 'start', text: 'Arms tucked' }),
      eventOf({ kind: 'position', atS: 6600, term: 'arms tucked', phase: 'end', text: 'Arms free' }),
      eventOf({ kind: 'position', atS: 900, term: 'prone', phase: 'start', text: 'Prone' }),
      eventOf({ kind: 'position', atS: 5200, term: 'prone', phase: 'end', text: 'Supine' }),
      eventOf({ kind: 'tourniquet', atS: 1500, term: 'tourniquet', phase: 'start', text: 'Tourniquet up' }),
      eventOf({ kind: 'tourniquet', atS: 4100, term: 'tourniquet', phase: 'end', text: 'Tourniquet down' }),
    ],
    drugs: [
      drugOf({ inn: 'norepinephrine', atS: 1000, form: 'infusion start', amount: 0.04, unit: 'ug/kg/min', atc: 'C01CA03' }),
      drugOf({ inn: 'norepinephrine', atS: 3800, form: 'infusion rate', amount: 0.1, unit: 'ug/kg/min', atc: 'C01CA03' }),
      drugOf({ inn: 'norepinephrine', atS: 6000, form: 'infusion stop', amount: null, unit: 'ug/kg/min', atc: 'C01CA03' }),
      drugOf({ inn: 'propofol', atS: 100, form: 'infusion start', amount: 6, unit: 'mg/kg/h', isVasopressor: false }),
      drugOf({ inn: 'phenylephrine', atS: 1450, amount: 100, atc: 'C01CA06' }),
    ],
  });
}

function nothingCase(): CaseRecord {
  return caseOf({ caseId: 'H-000', channels: [regularChannel({ quantity: 'heart-rate' }, Array.from({ length: 200 }, (_, i) => 64 + (i % 5)), 10)] });
}

const BUILT: Readonly<Record<BuiltName, () => CaseRecord>> = {
  'three hours': threeHourCase,
  'huge': () => eightChannelCase(27.8),
  'many lanes': () => manyLaneCase(3, 24),
  'states': stateCase,
  'nothing': nothingCase,
};

/** Returns the cases of the gallery, with the bytes of the sample cases by name; each built case is made when it is first asked for. */
export function galleryCases(samples: ReadonlyMap<SampleName, Uint8Array>): PictureCases {
  const made = new Map<BuiltName, PictureCase>();
  const read = new Map<SampleName, PictureCase>();
  return {
    sample(name) {
      const known = read.get(name);
      if (known !== undefined) return known;
      const bytes = samples.get(name);
      const decoded = bytes === undefined ? null : decodeCase(bytes);
      if (decoded?.ok !== true || decoded.value.analysis === null) throw new Error(`the sample case ${name} cannot be read`);
      const opened = { record: decoded.value.record, analysis: decoded.value.analysis };
      read.set(name, opened);
      return opened;
    },
    built(name) {
      const known = made.get(name);
      if (known !== undefined) return known;
      const record = BUILT[name]();
      const opened = { record, analysis: analyzeCase(record, DEFAULT_PARAMETERS, 'built') };
      made.set(name, opened);
      return opened;
    },
  };
}
