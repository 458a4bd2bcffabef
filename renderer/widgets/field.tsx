import { useId, useState, type JSX, type ReactNode } from 'react';

interface FieldFrameProps {
  readonly label: string;
  readonly hint?: ReactNode;
  readonly error?: string | null | undefined;
  readonly labelHidden?: boolean | undefined;
  /** The way to the page of what is set here, beside the label. */
  readonly help?: ReactNode;
}

interface FrameIds {
  readonly inputId: string;
  readonly describedBy: string | undefined;
}

function FieldFrame({ label, hint, error, labelHidden, help, render }: FieldFrameProps & { readonly render: (ids: FrameIds) => ReactNode }): JSX.Element {
  const id = useId();
  const hintId = `${id}-hint`;
  const errorId = `${id}-error`;
  const hasError = error !== undefined && error !== null;
  const describedBy = [hint === undefined ? null : hintId, hasError ? errorId : null].filter((part) => part !== null).join(' ');
  return (
    <div className="field">
      {help === undefined ? <label htmlFor={id} className={labelHidden === true ? 'visually-hidden' : 'field-label'}>{label}</label> : <div className="field-label" data-figures=""><label htmlFor={id}>{label}</label>{help}</div>}
      {render({ inputId: id, describedBy: describedBy === '' ? undefined : describedBy })}
      {hint === undefined ? null : <div id={hintId} className="field-hint">{hint}</div>}
      {hasError ? <div id={errorId} className="field-error">Not usable: {error}</div> : null}
    </div>
  );
}

export interface TextFieldProps extends FieldFrameProps {
  readonly value: string;
  readonly onChange: (value: string) => void;
  readonly type?: 'text' | 'search' | 'date' | 'password' | undefined;
  readonly placeholder?: string | undefined;
  readonly list?: string | undefined;
  readonly width?: string | undefined;
}

/** Returns a labelled line of text. */
export function TextField({ value, onChange, type = 'text', placeholder, list, width, ...frame }: TextFieldProps): JSX.Element {
  return (
    <FieldFrame
      {...frame}
      render={({ inputId, describedBy }) => (
        <input
          id={inputId} className={`input${width === undefined ? '' : ` input-${width}`}`} type={type} value={value} placeholder={placeholder} list={list} aria-describedby={describedBy}
          aria-invalid={frame.error !== undefined && frame.error !== null} spellCheck={false} autoComplete="off"
          onChange={(event) => onChange(event.target.value)}
        />
      )}
    />
  );
}

export interface TextAreaFieldProps extends FieldFrameProps {
  readonly value: string;
  readonly onChange: (value: string) => void;
}

/** Returns several labelled lines of text. */
export function TextAreaField({ value, onChange, ...frame }: TextAreaFieldProps): JSX.Element {
  return (
    <FieldFrame
      {...frame}
      render={({ inputId, describedBy }) => (
        <textarea
          id={inputId} className="input input-area" rows={3} value={value} aria-describedby={describedBy} aria-invalid={frame.error !== undefined && frame.error !== null}
          onChange={(event) => onChange(event.target.value)}
        />
      )}
    />
  );
}

export interface Choice {
  readonly value: string;
  readonly label: string;
}

export interface SelectFieldProps extends FieldFrameProps {
  readonly value: string;
  readonly choices: readonly Choice[];
  readonly onChange: (value: string) => void;
}

/** Returns a labelled list to choose one from. */
export function SelectField({ value, choices, onChange, ...frame }: SelectFieldProps): JSX.Element {
  return (
    <FieldFrame
      {...frame}
      render={({ inputId, describedBy }) => (
        <select id={inputId} className="input" value={value} aria-describedby={describedBy} onChange={(event) => onChange(event.target.value)}>
          {choices.map((choice) => <option key={choice.value} value={choice.value}>{choice.label}</option>)}
        </select>
      )}
    />
  );
}

export interface NumberFieldProps extends FieldFrameProps {
  readonly value: number;
  readonly unit: string;
  readonly min: number;
  readonly max: number;
  readonly wholeOnly?: boolean | undefined;
  readonly onChange: (value: number) => void;
  /** Told with every change whether what is typed is a usable number: else `value` is an earlier one. */
  readonly onUsable?: ((isUsable: boolean) => void) | undefined;
}

/** Returns why `text` cannot be taken as a number between `min` and `max`, or null when it can. */
export function numberFault(text: string, min: number, max: number, wholeOnly: boolean): string | null {
  const trimmed = text.trim();
  if (trimmed === '') return `a number from ${min} to ${max} is needed; the last usable one stays in force.`;
  if (!/^[+-]?(\d+\.?\d*|\.\d+)$/.test(trimmed)) return `“${trimmed}” is not a number written with digits and a point.`;
  const value = Number(trimmed);
  if (wholeOnly && !Number.isInteger(value)) return 'only whole numbers make sense here.';
  if (value < min || value > max) return `it must lie from ${min} to ${max}.`;
  return null;
}

/**
 * Returns a labelled number with its unit. What cannot be used stays in the field with the reason beneath,
 * and the last usable number stays in force.
 */
export function NumberField({ value, unit, min, max, wholeOnly = false, onChange, onUsable, ...frame }: NumberFieldProps): JSX.Element {
  const [typed, setTyped] = useState<{ readonly text: string; readonly forValue: number } | null>(null);
  const text = typed !== null && typed.forValue === value ? typed.text : String(value);
  const fault = numberFault(text, min, max, wholeOnly);
  return (
    <FieldFrame
      {...frame}
      error={fault}
      render={({ inputId, describedBy }) => (
        <span className="input-with-unit">
          <input
            id={inputId} className="input input-number" inputMode="decimal" value={text} aria-describedby={describedBy} aria-invalid={fault !== null} autoComplete="off"
            onChange={(event) => {
              const next = event.target.value;
              const usable = numberFault(next, min, max, wholeOnly) === null;
              setTyped({ text: next, forValue: usable ? Number(next) : value });
              if (usable) onChange(Number(next));
              onUsable?.(usable);
            }}
            onBlur={() => {
              if (fault === null) setTyped(null);
            }}
          />
          {unit === '' ? null : <span className="input-unit">{unit}</span>}
        </span>
      )}
    />
  );
}

export interface CheckFieldProps {
  readonly label: ReactNode;
  readonly checked: boolean;
  readonly onChange: (checked: boolean) => void;
}

/** Returns a box to tick with its label. */
export function CheckField({ label, checked, onChange }: CheckFieldProps): JSX.Element {
  return (
    <label className="check-field">
      <input type="checkbox" checked={checked} onChange={(event) => onChange(event.target.checked)} />
      <span>{label}</span>
    </label>
  );
}

export interface ChoiceRowProps {
  readonly legend: string;
  readonly legendHidden?: boolean | undefined;
  readonly value: string;
  readonly choices: readonly (Choice & { readonly hint?: string | undefined })[];
  readonly onChange: (value: string) => void;
}

/** Returns a row of which one is chosen; arrow keys move, as the platform's radio buttons do. */
export function ChoiceRow({ legend, legendHidden, value, choices, onChange }: ChoiceRowProps): JSX.Element {
  const name = useId();
  return (
    <fieldset className="choice-row">
      <legend className={legendHidden === true ? 'visually-hidden' : 'field-label'}>{legend}</legend>
      <div className="choice-row-list">
        {choices.map((choice) => (
          <label key={choice.value} className={`choice${choice.value === value ? ' choice-on' : ''}`} title={choice.hint}>
            <input type="radio" name={name} value={choice.value} checked={choice.value === value} onChange={() => onChange(choice.value)} />
            {/* As wide as when it is chosen, so that nothing moves aside. */}
            <span className="steady" data-steady={typeof choice.label === 'string' ? choice.label : undefined}>{choice.label}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}

/** Returns sentences beneath each other of which one is chosen; arrow keys move, as the platform's radio buttons do. */
export function ChoiceList({ legend, value, choices, onChange }: Omit<ChoiceRowProps, 'legendHidden'>): JSX.Element {
  const name = useId();
  return (
    <fieldset className="choice-list">
      <legend className="visually-hidden">{legend}</legend>
      {choices.map((choice) => (
        <label key={choice.value} className="check-field">
          <input type="radio" name={name} value={choice.value} checked={choice.value === value} onChange={() => onChange(choice.value)} />
          <span>{choice.label}</span>
        </label>
      ))}
    </fieldset>
  );
}
