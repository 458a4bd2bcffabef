import { useState, type JSX } from 'react';
import { CHART_KINDS, KINDS_OF_MEASURE, type ChartBaseline, type ChartKind, type ChartMeasure, type ChartRule, type PhaseRequest } from '../../../../core/model/quality-chart.ts';
import { Button } from '../../../widgets/button.tsx';
import { CheckField, SelectField, TextField } from '../../../widgets/field.tsx';
import { KIND_NAMES } from './quality-words.ts';

export interface PhaseFormProps {
  readonly measure: ChartMeasure;
  /** Of the complete points, in order. */
  readonly pointNames: readonly string[];
  /** What is proposed; null: too few points for limits. */
  readonly baseline: ChartBaseline | null;
  /** Whether it is asked from which point on the limits hold; a new chart's hold from the first. */
  readonly asksWhere: boolean;
  readonly isBusy: boolean;
  /** What else is missing, as a sentence: nothing is fixed before it is there. */
  readonly missing?: string | null;
  readonly action: string;
  readonly onPhase: (phase: PhaseRequest) => void;
}

/** Patterns that are offered beside the two rules of runs, with what each costs. Source: Nelson 1984; statistics g. */
const RULES: readonly { readonly rule: ChartRule; readonly label: string }[] = [
  { rule: 2, label: 'nine points on one side' },
  { rule: 3, label: 'six steadily up or down (finds hardly anything)' },
  { rule: 5, label: 'two of three beyond 2 σ on one side' },
  { rule: 6, label: 'four of five beyond 1 σ on one side' },
];

/** Returns the choice of a baseline, a kind and a reason. */
export function PhaseForm({ measure, pointNames, baseline, asksWhere, isBusy, missing = null, action, onPhase }: PhaseFormProps): JSX.Element {
  const lastIndex = Math.max(0, pointNames.length - 1);
  const [fromPoint, setFromPoint] = useState(0);
  const [kind, setKind] = useState<ChartKind | null>(null);
  const [firstPoint, setFirstPoint] = useState(baseline?.firstPoint ?? 0);
  const [lastPoint, setLastPoint] = useState(baseline?.lastPoint ?? lastIndex);
  const [excluded, setExcluded] = useState<readonly number[]>([]);
  const [rules, setRules] = useState<readonly ChartRule[]>([]);
  const [reason, setReason] = useState('');
  const choices = pointNames.map((name, i) => ({ value: String(i), label: name }));
  const within = pointNames.flatMap((name, i) => (i >= firstPoint && i <= lastPoint ? [{ name, i }] : []));
  return (
    <>
      <div className="cohort-controls">
        {asksWhere ? <SelectField label="They hold from" value={String(fromPoint)} choices={choices} onChange={(value) => setFromPoint(Number(value))} /> : null}
        <SelectField
          label="Kind of chart" value={kind ?? ''} choices={[{ value: '', label: 'as the table of methods says' }, ...KINDS_OF_MEASURE[measure].map((name) => ({ value: name, label: KIND_NAMES[name] }))]}
          onChange={(value) => setKind(CHART_KINDS.find((name) => name === value) ?? null)}
        />
        {choices.length === 0 ? null : (
          <>
            <SelectField label="Baseline from" value={String(firstPoint)} choices={choices} onChange={(value) => setFirstPoint(Number(value))} />
            <SelectField label="Baseline to" value={String(lastPoint)} choices={choices} onChange={(value) => setLastPoint(Number(value))} />
          </>
        )}
        <TextField label="Reason (kept with the chart)" width="words" value={reason} onChange={(value) => setReason(value.slice(0, 500))} />
      </div>
      <div className="cohort-facets cohort-phase">
        {within.length === 0 ? null : (
          <fieldset className="cohort-facet">
            <legend>Points left out of the baseline</legend>
            <div className="cohort-facet-values">{within.map(({ name, i }) => <CheckField key={i} label={name} checked={excluded.includes(i)} onChange={(isOut) => setExcluded(isOut ? [...excluded, i] : excluded.filter((one) => one !== i))} />)}</div>
          </fieldset>
        )}
        <fieldset className="cohort-facet">
          <legend>Patterns looked for too</legend>
          <div className="cohort-facet-values">{RULES.map(({ rule, label }) => <CheckField key={rule} label={label} checked={rules.includes(rule)} onChange={(isOn) => setRules(isOn ? [...rules, rule] : rules.filter((one) => one !== rule))} />)}</div>
          <p className="field-hint">Points beyond the limits and long runs always count. Each pattern more gives more false signals.</p>
        </fieldset>
      </div>
      <div className="row cohort-actions">
        <Button
          look="primary" disabled={isBusy || missing !== null || reason.trim() === ''}
          onClick={() => onPhase({ fromPoint: asksWhere ? fromPoint : 0, kind, firstPoint, lastPoint: Math.max(firstPoint, lastPoint), excluded: excluded.filter((i) => i >= firstPoint && i <= lastPoint), rules, reason: reason.trim() })}
        >
          {action}
        </Button>
        {reason.trim() === '' ? <span className="field-hint">Limits are fixed with a reason only.</span> : null}
        {missing === null ? null : <span className="field-hint">{missing}</span>}
      </div>
    </>
  );
}
