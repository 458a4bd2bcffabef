import type { Finding } from '../base/finding.ts';
import type { CaseBounds } from '../model/analysis.ts';
import type { CaseRecord } from '../model/case.ts';
import type { DrugRecord } from '../model/drug.ts';
import type { CaseEvent } from '../model/event.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { BareExposure } from '../model/prepared-case.ts';
import { plainStateEnd, positionStateEnd } from './position-state.ts';

/**
 * Returns everything of a case that may precede a dropout or answer one, in time order.
 * Shape   vasopressor boluses; infusion starts from zero and rises of the rate by at least `infusionRisePct`; positions
 *         taken and ended; bypass, cross-clamp and tourniquet; and, as responses only, what was done to sensor, cuff
 *         and warming. An infusion start and a position also last (`endMs`) as long as the state that they begin, and
 *         link by whichever of window and state reaches further.
 *         A bypass, clamp or tourniquet that is only named, with neither start nor end, looks back like a position.
 * Units   ms; doses as written, with their unit.
 * Missing rates of one drug in different units, or without a number, cannot be compared: no rise is claimed, and a
 *         finding says so.
 * Source  analysis-spec 7; docs/methods/linkage.md.
 */
export function findExposures(record: CaseRecord, bounds: CaseBounds, parameters: AnalysisParameters): { exposures: BareExposure[]; findings: Finding[] } {
  const infusions = infusionChanges(record.drugs, bounds.endMs, parameters);
  const exposures = [
    ...record.drugs.filter((d) => d.isVasopressor && d.form === 'bolus').map((d) => bolus(d, parameters)),
    ...infusions.exposures,
    ...record.events.flatMap((event) => fromEvent(event, record.events, bounds.endMs, parameters)),
  ];
  const order = exposures.map((exposure, i) => ({ exposure, i })).sort((a, b) => a.exposure.atMs - b.exposure.atMs || a.i - b.i);
  return { exposures: order.map(({ exposure }) => exposure), findings: infusions.findings };
}

function fromDrug(drug: DrugRecord): Omit<BareExposure, 'kind' | 'endMs' | 'windowMs'> {
  return {
    exposureId: `exposure:${drug.drugId}`,
    label: drug.inn ?? drug.text,
    atc: drug.atc,
    dose: drug.amount,
    unit: drug.unit,
    atMs: drug.atMs,
    manual: drug.manual,
    flags: drug.flags,
    sourceText: drug.text,
  };
}

function bolus(drug: DrugRecord, parameters: AnalysisParameters): BareExposure {
  const windows = parameters.lookBackBolusS;
  const windowS = (drug.inn === null ? undefined : windows[drug.inn]) ?? windows['other'] ?? 0;
  return { ...fromDrug(drug), kind: 'vasopressor bolus', endMs: null, windowMs: windowS * 1000 };
}

/** What is known of a running infusion: null rate means that it runs at a rate that is not stated. */
interface Running {
  readonly ratePerUnit: number | null;
  readonly unit: string;
}

function infusionChanges(drugs: readonly DrugRecord[], caseEndMs: number, parameters: AnalysisParameters): { exposures: BareExposure[]; findings: Finding[] } {
  const exposures: BareExposure[] = [];
  const running = new Map<string, Running>();
  const notCompared = new Map<string, number>();
  const steps = drugs.filter((d) => d.isVasopressor && d.form !== 'bolus');
  steps.forEach((step, i) => {
    const name = step.inn ?? step.text;
    const before = running.get(name);
    if (isStop(step)) {
      running.delete(name);
      return;
    }
    running.set(name, { ratePerUnit: step.amount, unit: step.unit });
    const change: BareExposure = { ...fromDrug(step), kind: 'infusion change', endMs: null, windowMs: parameters.lookBackInfusionS * 1000 };
    if (before === undefined) {
      const stop = steps.slice(i + 1).find((later) => (later.inn ?? later.text) === name && isStop(later));
      exposures.push({ ...change, endMs: step.endMs ?? stop?.atMs ?? Math.max(caseEndMs, step.atMs) });
    } else if (before.ratePerUnit === null || step.amount === null || before.unit !== step.unit) {
      notCompared.set(name, (notCompared.get(name) ?? 0) + 1);
    } else if (step.amount >= before.ratePerUnit * (1 + parameters.infusionRisePct / 100)) {
      exposures.push(change);
    }
  });
  const findings = [...notCompared].map(
    ([name, count]): Finding => ({
      code: 'infusion-rate-not-compared',
      severity: 'note',
      message: `${name}: ${count} changes of the infusion could not be compared with the rate before (no rate stated, or another unit), so no rise was counted there.`,
      count,
    }),
  );
  return { exposures, findings };
}

function isStop(step: DrugRecord): boolean {
  return step.form === 'infusion stop' || step.amount === 0;
}

function fromEvent(event: CaseEvent, events: readonly CaseEvent[], caseEndMs: number, parameters: AnalysisParameters): BareExposure[] {
  const base = {
    exposureId: `exposure:${event.eventId}`,
    label: event.term === '' ? event.kind : event.term,
    atc: null,
    dose: null,
    unit: '',
    atMs: event.atMs,
    endMs: null,
    windowMs: null,
    manual: event.manual,
    flags: [],
    sourceText: event.text,
  };
  switch (event.kind) {
    case 'position': {
      const windows = parameters.lookBackPositionS;
      const windowMs = (windows[event.term] ?? windows['other'] ?? 0) * 1000;
      const label = event.phase === 'end' ? `${base.label} ended` : base.label;
      return [{ ...base, kind: 'position', label, windowMs, endMs: positionStateEnd(event, events, caseEndMs) }];
    }
    case 'bypass':
    case 'cross-clamp':
    case 'tourniquet':
      if (event.phase === 'end') return [];
      return [
        {
          ...base,
          kind: event.kind,
          endMs: plainStateEnd(event, events, caseEndMs),
          windowMs: event.phase === 'moment' ? (parameters.lookBackPositionS['other'] ?? 0) * 1000 : null,
        },
      ];
    case 'sensor on':
    case 'sensor moved':
    case 'sensor off':
      return [{ ...base, kind: 'sensor' }];
    case 'cuff moved':
      return [{ ...base, kind: 'cuff moved' }];
    case 'warming':
      return [{ ...base, kind: 'warming' }];
    default:
      return [];
  }
}
