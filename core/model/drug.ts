import type { CaseMs } from '../base/brand.ts';
import type { SourceRef } from '../base/finding.ts';

/** One administration entry: a bolus, or one step of an infusion. */
export interface DrugRecord {
  readonly drugId: string;
  /** International non-proprietary name, lower case; null when the dictionary does not know the text. */
  readonly inn: string | null;
  readonly atc: string | null;
  /** Vasopressors and inotropes count as exposures; everything else is only drawn. */
  readonly isVasopressor: boolean;
  readonly route: string | null;
  readonly form: 'bolus' | 'infusion start' | 'infusion rate' | 'infusion stop';
  /** Dose or rate; null when none is stated. */
  readonly amount: number | null;
  /** UCUM spelling (`ug`, `mg`, `[iU]`, `ug/kg/min`, `mL/h`); '' when none is stated. */
  readonly unit: string;
  readonly atMs: CaseMs;
  readonly endMs: CaseMs | null;
  readonly manual: boolean;
  /** Improbable unit, ambiguous name: flagged for a person, never rewritten. */
  readonly flags: readonly string[];
  readonly text: string;
  readonly source: SourceRef;
}
