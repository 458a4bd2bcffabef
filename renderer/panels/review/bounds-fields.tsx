import { useId, useState, type JSX, type KeyboardEvent } from 'react';
import { lowerBound, upperBound } from '../../../core/base/search.ts';
import type { FourInstants } from '../../../core/model/analysis.ts';
import type { CaseClock } from '../../format/time-text.ts';
import { typedInstant } from '../../format/typed-instant.ts';
import { boundsFault } from '../../state/verdict-drafts.ts';
import { Button } from '../../widgets/button.tsx';
import { CheckField } from '../../widgets/field.tsx';

const INSTANTS = [
  { field: 'lastGoodMs', label: 'Last good' },
  { field: 'firstLostMs', label: 'First lost' },
  { field: 'lastLostMs', label: 'Last lost' },
  { field: 'firstGoodMs', label: 'First good' },
] as const;
type Field = (typeof INSTANTS)[number]['field'];

export interface BoundsFieldsProps {
  readonly bounds: FourInstants;
  readonly computed: FourInstants;
  readonly clock: CaseClock;
  /** Times of the samples of the dropout's sensor, ascending, ms. */
  readonly sampleMs: Float64Array;
  readonly cursorMs: () => number | null;
  /** Shows an instant on the timeline. */
  readonly onPoint: (atMs: number) => void;
  readonly onChange: (bounds: FourInstants) => void;
}

/**
 * Returns the four instants of a dropout as the reader reads them: typed, stepped from sample to sample with the arrow keys, or taken
 * from the timeline's cursor.
 */
export function BoundsFields({ bounds, computed, clock, sampleMs, cursorMs, onPoint, onChange }: BoundsFieldsProps): JSX.Element {
  const [note, setNote] = useState('');
  const isOpen = bounds.lastLostMs === null;
  const change = (part: Partial<FourInstants>): void => onChange({ ...bounds, ...part });
  const takeCursor = (field: Field, label: string): void => {
    const atMs = cursorMs();
    if (atMs === null) {
      setNote('There is no cursor on the timeline: click there, or press Alt with an arrow key in it.');
      return;
    }
    change({ [field]: atMs });
    setNote(`${label} is now ${clock.clock(atMs)}, from the cursor.`);
  };
  const fault = boundsFault(bounds);
  return (
    <fieldset className="bounds-fields">
      <legend className="field-label">Bounds as you read them <span className="soft">(↑ ↓ to the sample before or after)</span></legend>
      <div className="bounds-grid">
        {INSTANTS.map(({ field, label }) => {
          const atMs = bounds[field];
          return atMs === null ? null : (
            <InstantField
              key={field} label={label} atMs={atMs} clock={clock} sampleMs={sampleMs}
              onChange={(next) => {
                change({ [field]: next });
                onPoint(next);
              }}
              onCursor={() => takeCursor(field, label)}
            />
          );
        })}
      </div>
      {computed.lastLostMs !== null ? null : (
        <CheckField
          label="Information never came back at this sensor in this record" checked={isOpen}
          onChange={(checked) => change(checked ? { lastLostMs: null, firstGoodMs: null } : lastSamples(bounds, sampleMs))}
        />
      )}
      {fault === null ? null : <p className="field-error">Not usable: {fault}</p>}
      <p className="soft" role="status">{note}</p>
    </fieldset>
  );
}

/** Returns an end for bounds that have none: the last two samples of the sensor, to be moved from there. */
function lastSamples({ firstLostMs }: FourInstants, sampleMs: Float64Array): Partial<FourInstants> {
  const firstGoodMs = Math.max(firstLostMs + 1, sampleMs.at(-1) ?? 0);
  return { lastLostMs: Math.max(firstLostMs, Math.min(firstGoodMs - 1, sampleMs.at(-2) ?? firstLostMs)), firstGoodMs };
}

interface InstantFieldProps {
  readonly label: string;
  readonly atMs: number;
  readonly clock: CaseClock;
  readonly sampleMs: Float64Array;
  readonly onChange: (atMs: number) => void;
  readonly onCursor: () => void;
}

/** Returns the sample before (−1) or after (1) an instant; the instant itself where there is none. */
export function neighbourSampleMs(sampleMs: Float64Array, atMs: number, step: 1 | -1): number {
  const at = step === 1 ? upperBound(sampleMs, atMs) : lowerBound(sampleMs, atMs) - 1;
  return sampleMs[at] ?? atMs;
}

function InstantField({ label, atMs, clock, sampleMs, onChange, onCursor }: InstantFieldProps): JSX.Element {
  const id = useId();
  const [typed, setTyped] = useState<{ readonly text: string; readonly forMs: number } | null>(null);
  const text = typed !== null && typed.forMs === atMs ? typed.text : clock.clock(atMs);
  const isUsable = typedInstant(text, clock, atMs) !== null || text === clock.clock(atMs);
  const onKeyDown = (event: KeyboardEvent<HTMLInputElement>): void => {
    const step = event.key === 'ArrowUp' ? -1 : event.key === 'ArrowDown' ? 1 : null;
    if (step === null) return;
    event.preventDefault();
    setTyped(null);
    onChange(neighbourSampleMs(sampleMs, atMs, step));
  };
  return (
    <div className="field instant-field">
      <label htmlFor={id} className="field-label">{label}</label>
      <span className="input-with-unit">
        <input
          id={id} className="input input-clock" value={text} autoComplete="off" spellCheck={false} aria-invalid={!isUsable} aria-describedby={isUsable ? undefined : `${id}-error`}
          onChange={(event) => {
            const next = event.target.value;
            const nextMs = typedInstant(next, clock, atMs);
            setTyped({ text: next, forMs: nextMs ?? atMs });
            if (nextMs !== null) onChange(nextMs);
          }}
          onBlur={() => {
            if (isUsable) setTyped(null);
          }}
          onKeyDown={onKeyDown}
        />
        <Button look="quiet" title="Take it from the timeline’s cursor" aria-label={`${label} from the timeline’s cursor`} onClick={onCursor}>
          <svg width="13" height="13" viewBox="0 0 13 13" aria-hidden="true"><path d="M6.5 0V13M2 3L6.5 6.5M11 3L6.5 6.5" fill="none" stroke="currentColor" strokeWidth="1.4" /></svg>
        </Button>
      </span>
      {isUsable ? null : <div id={`${id}-error`} className="field-error">Not usable: a clock time such as {clock.clock(atMs)} is needed; the last usable one stays.</div>}
    </div>
  );
}
