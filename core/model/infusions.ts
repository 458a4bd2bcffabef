import type { Interval } from '../base/interval.ts';
import { plainNumberText, unitText } from '../base/number-text.ts';
import type { DrugRecord } from './drug.ts';

export interface InfusionStep extends Interval {
  /** null: no rate stated. */
  readonly rate: number | null;
  readonly text: string;
  /** Nothing on record ends it: it runs to the end of the case. */
  readonly isOpen: boolean;
}

export interface Infusion {
  readonly name: string;
  readonly isVasopressor: boolean;
  readonly steps: readonly InfusionStep[];
  readonly highestRate: number;
}

/** Returns a drug's name as it is shown: the non-proprietary name, or the text as written where the dictionary does not know it. */
export function drugName(drug: DrugRecord): string {
  return drug.inn ?? drug.text;
}

/** Returns one infusion per drug name, its rates as steps. A rate of 0 is a pause; an infusion never stopped runs to `caseEndMs`. */
export function buildInfusions(drugs: readonly DrugRecord[], caseEndMs: number): Infusion[] {
  const byName = new Map<string, DrugRecord[]>();
  for (const drug of drugs) {
    if (drug.form === 'bolus') continue;
    const name = drugName(drug);
    byName.set(name, [...(byName.get(name) ?? []), drug]);
  }
  const infusions: Infusion[] = [];
  for (const [name, entries] of byName) {
    const steps: InfusionStep[] = [];
    entries.forEach((entry, i) => {
      if (entry.form === 'infusion stop' || entry.amount === 0) return;
      const nextMs = entries[i + 1]?.atMs ?? caseEndMs;
      const endMs = Math.min(entry.endMs ?? nextMs, nextMs);
      const text = entry.amount === null ? 'rate not stated' : `${plainNumberText(entry.amount)} ${unitText(entry.unit)}`.trim();
      if (endMs > entry.atMs) steps.push({ startMs: entry.atMs, endMs, rate: entry.amount, text, isOpen: entry.endMs === null && entries[i + 1] === undefined });
    });
    if (steps.length === 0) continue;
    infusions.push({
      name,
      isVasopressor: entries.some((entry) => entry.isVasopressor),
      steps,
      highestRate: steps.reduce((highest, step) => Math.max(highest, step.rate ?? 0), 0),
    });
  }
  // Vasopressors first: they are what a dropout may follow.
  return infusions.sort((a, b) => Number(b.isVasopressor) - Number(a.isVasopressor) || (a.steps[0]?.startMs ?? 0) - (b.steps[0]?.startMs ?? 0));
}
