import type { DrugRecord } from '../../core/model/drug.ts';

export interface DrugSpec {
  readonly inn: string | null;
  readonly atS: number;
  readonly form?: DrugRecord['form'];
  readonly amount?: number | null;
  readonly unit?: string;
  readonly atc?: string | null;
  readonly isVasopressor?: boolean;
  readonly manual?: boolean;
  readonly text?: string;
  readonly drugId?: string;
}

/** Returns an administration at `atS` seconds; a vasopressor bolus taken from a device unless said otherwise. */
export function drugOf(spec: DrugSpec): DrugRecord {
  const form = spec.form ?? 'bolus';
  return {
    drugId: spec.drugId ?? `drug:${spec.inn ?? 'unknown'}:${form}:${spec.atS}`,
    inn: spec.inn,
    atc: spec.atc ?? null,
    isVasopressor: spec.isVasopressor ?? true,
    route: null,
    form,
    amount: spec.amount === undefined ? 100 : spec.amount,
    unit: spec.unit ?? (form === 'bolus' ? 'ug' : 'ug/min'),
    atMs: spec.atS * 1000,
    endMs: null,
    manual: spec.manual ?? false,
    flags: [],
    text: spec.text ?? spec.inn ?? '',
    source: { sourceIndex: 0, line: 2 },
  };
}
