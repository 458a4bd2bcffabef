import { useId, type JSX } from 'react';

export interface StepSliderProps {
  readonly label: string;
  readonly steps: readonly number[];
  readonly index: number;
  /** What is written beside the slider and read out. */
  readonly textOf: (index: number) => string;
  readonly onIndex: (index: number) => void;
}

/** Returns a slider over given steps; arrows, Page keys, Home and End move it, as the platform's own does. */
export function StepSlider({ label, steps, index, textOf, onIndex }: StepSliderProps): JSX.Element {
  const id = useId();
  return (
    <div className="step-slider">
      <label htmlFor={id} className="field-label">{label}</label>
      <span className="step-slider-row">
        <input id={id} type="range" min={0} max={steps.length - 1} step={1} value={index} aria-valuetext={textOf(index)} onChange={(event) => onIndex(Number(event.target.value))} />
        <output htmlFor={id} className="figure">{textOf(index)}</output>
      </span>
    </div>
  );
}
