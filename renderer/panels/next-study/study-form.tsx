import type { JSX } from 'react';
import type { NextStudyOptions } from '../../../core/model/next-study.ts';
import { STUDY_DESIGNS, STUDY_EFFECTS, STUDY_OUTCOMES, SECOND_PATTERNS } from '../../../core/model/next-study.ts';
import { CheckField, ChoiceRow, NumberField, SelectField } from '../../widgets/field.tsx';
import { siteText } from '../case-view/case-facts.ts';
import { FigureHelp } from '../../help/figure-help.tsx';

const DESIGN_WORDS = { paired: 'Paired: both sites on each patient', parallel: 'Parallel: one site per patient' } as const;

/** A wanted half width to begin with: a factor, points as a share, or dropouts per hour. Conventions of this program. */
const FIRST_HALF_WIDTH = { 'ratio': 1.5, 'share lost': 0.02, 'dropouts per hour': 0.2 } as const;

export interface StudyFormProps {
  readonly options: NextStudyOptions;
  readonly siteKeys: readonly string[];
  readonly onChange: (options: NextStudyOptions) => void;
}

/** Returns the fields of a study that is asked about. */
export function StudyForm({ options, siteKeys, onChange }: StudyFormProps): JSX.Element {
  const change = (part: Partial<NextStudyOptions>): void => onChange({ ...options, ...part });
  const isShare = options.outcome === 'share lost';
  const isRatio = options.effect === 'ratio';
  // Shares are typed in points: per cent of the monitored time.
  const scale = !isRatio && isShare ? 100 : 1;
  const unit = isRatio ? 'times' : isShare ? 'points' : 'per hour';
  const sites = [...new Set([...siteKeys, options.firstKey, options.secondKey])].map((key) => ({ value: key, label: siteText(key) }));
  const halfWidth = options.wantedHalfWidth;
  const firstHalfWidth = isRatio ? FIRST_HALF_WIDTH.ratio : FIRST_HALF_WIDTH[options.outcome];
  return (
    <div className="study-form">
      <ChoiceRow
        legend="Design" value={options.design} choices={STUDY_DESIGNS.map((design) => ({ value: design, label: DESIGN_WORDS[design] }))}
        onChange={(value) => {
          const design = STUDY_DESIGNS.find((one) => one === value);
          if (design !== undefined) change({ design, secondAs: 'second site' });
        }}
      />
      <ChoiceRow
        legend="Outcome" value={options.outcome} choices={STUDY_OUTCOMES.map((outcome) => ({ value: outcome, label: outcome === 'share lost' ? 'Share of time lost' : 'Dropouts per hour' }))}
        onChange={(value) => {
          const outcome = STUDY_OUTCOMES.find((one) => one === value);
          if (outcome !== undefined) change({ outcome, ...(isRatio ? {} : { effectSize: outcome === 'share lost' ? -0.02 : -0.2, wantedHalfWidth: null }) });
        }}
      />
      <ChoiceRow
        legend="Effect" value={options.effect} choices={STUDY_EFFECTS.map((effect) => ({ value: effect, label: effect === 'ratio' ? 'Ratio, second / first' : 'Difference, second − first' }))}
        onChange={(value) => {
          const effect = STUDY_EFFECTS.find((one) => one === value);
          if (effect !== undefined) change({ effect, effectSize: effect === 'ratio' ? 0.5 : isShare ? -0.02 : -0.2, wantedHalfWidth: null });
        }}
      />
      <SelectField
        label="Dropouts" value={options.dropouts ?? 'computed'} choices={[{ value: 'computed', label: 'as computed' }, { value: 'confirmed', label: 'confirmed by readers' }]}
        onChange={(value) => {
          const { dropouts: _dropouts, ...rest } = options;
          onChange(value === 'confirmed' ? { ...rest, dropouts: 'confirmed' } : rest);
        }}
      />
      <SelectField label="First site" value={options.firstKey} choices={sites} onChange={(firstKey) => change({ firstKey })} />
      <SelectField label="Second site" value={options.secondKey} choices={sites} onChange={(secondKey) => change({ secondKey })} />
      {options.design === 'paired' ? null : (
        <SelectField
          label="Spread of the second site" value={options.secondAs} choices={SECOND_PATTERNS.map((one) => ({ value: one, label: one === 'second site' ? 'its own in the library' : 'that of the first site' }))}
          onChange={(value) => {
            const secondAs = SECOND_PATTERNS.find((one) => one === value);
            if (secondAs !== undefined) change({ secondAs });
          }}
        />
      )}
      <NumberField label="Effect to be found" help={<FigureHelp figure="study-site" />} unit={unit} value={rounded(options.effectSize * scale)} min={isRatio ? 0.01 : -1000} max={isRatio ? 100 : 1000} onChange={(value) => change({ effectSize: value / scale })} />
      <NumberField label="Confidence" help={<FigureHelp figure="power" />} unit="%" value={rounded(options.conf * 100)} min={50} max={99.9} onChange={(value) => change({ conf: value / 100 })} />
      <div className="study-wish">
        <CheckField label="Size for a wanted power" checked={options.wantedPower !== null} onChange={(isWanted) => change({ wantedPower: isWanted ? 0.8 : null })} />
        {options.wantedPower === null ? null : <NumberField label="Wanted power" help={<FigureHelp figure="power" />} unit="%" value={rounded(options.wantedPower * 100)} min={5} max={99.9} onChange={(value) => change({ wantedPower: value / 100 })} />}
      </div>
      <div className="study-wish">
        <CheckField label="Size for a wanted precision" checked={halfWidth !== null} onChange={(isWanted) => change({ wantedHalfWidth: isWanted ? firstHalfWidth : null })} />
        {halfWidth === null ? null : (
          <NumberField
            label={isRatio ? 'Factor from the ratio to its limits' : 'Half width of the interval'} help={<FigureHelp figure="power" />} unit={unit} value={rounded(halfWidth * scale)} min={isRatio ? 1.001 : 0.001} max={1000}
            onChange={(value) => change({ wantedHalfWidth: value / scale })}
          />
        )}
      </div>
      <NumberField label="Simulated studies" help={<FigureHelp figure="power" />} unit="per size" value={options.draws} min={100} max={20_000} wholeOnly onChange={(draws) => change({ draws })} />
      <NumberField label="Seed" help={<FigureHelp figure="power" />} unit="" value={options.seed} min={0} max={4_294_967_295} wholeOnly onChange={(seed) => change({ seed })} />
    </div>
  );
}

/** Without the noise that a scale adds in doubles: 0.02 × 100 is 2. */
function rounded(value: number): number {
  return Number(value.toPrecision(12));
}
