import type { JSX } from 'react';
import { ALL_SENSORS, WHOLE_CASE } from '../../../core/model/cohort-burden.ts';
import { countText, shareText } from '../../format/number-text.ts';
import { useSession } from '../../state/session.ts';
import { Button } from '../../widgets/button.tsx';
import { AlignedPart } from './aligned-part.tsx';
import { BeforePart, rateSentence } from './before-part.tsx';
import { BurdenByPlace } from './burden-part.tsx';
import { figureText, placeText, sentenceStart } from './cohort-words.ts';
import { DefinitionCurve } from './definition-curve.tsx';
import { casesOfGroup } from './group-cases.ts';
import { PairedPart } from './paired-part.tsx';
import type { TabProps } from './questions-panel.tsx';
import { Question } from './question.tsx';
import { RestorationPart, restorationSentence } from './restoration-part.tsx';

/** Returns the questions of a researcher. */
export function ResearchTab({ results, definition, onPoint }: TabProps): JSX.Element {
  const session = useSession();
  const { burden, options, flow, sites, robustness, restoration, beforeLoss, aligned } = results;
  const sensors = burden.rows.filter((row) => row.scope === 'all' && row.place !== WHOLE_CASE && row.place !== ALL_SENSORS);
  const bySite = restoration.groups.filter((group) => group.kind === 'site');
  const bolus = beforeLoss.rates.find((rate) => rate.kind === 'vasopressor bolus' && rate.label === null && rate.siteKey === null);
  return (
    <>
      <Question
        figure="burden"
        heading="What share of monitored time was lost at each site?"
        answer={sensors.length === 0 ? 'No sensor was monitored.' : `${sentenceStart(sensors.map((row) => `${placeText(row.place)}: ${figureText(row.primary.share?.mid ?? null, row.primary.shareInterval, shareText)}, ${countText(row.primary.cases, 'case', 'cases')}`).join('; '))}. Sites in different patients are described, not compared.`}
      >
        <BurdenByPlace burden={burden} options={options} unit={flow.unit} definition={definition} hasSecond={results.selection === 'computed'} onPoint={onPoint} />
      </Question>
      <Question figure="time-to-information" heading="How long do the losses last?" answer={bySite.length === 0 ? 'No dropout in the cases looked at.' : <>{bySite.map((group) => <p key={group.of}>{restorationSentence(group, restoration.limitMs)}</p>)}</>}>
        <RestorationPart restoration={restoration} by="site" definition={definition} casesOf={(group) => casesOfGroup(group, burden.cases)} onPoint={onPoint} />
      </Question>
      <Question figure="sites-within-patients" heading="Within the same patients, which site loses less?" answer="Only time in which both were worn counts.">
        <PairedPart sites={sites} conf={options.conf} unit={flow.unit} definition={definition} onPoint={onPoint} />
      </Question>
      <Question figure="rate-after-exposure" heading="How does the rate change after a vasopressor, within the patient?" answer={<><p>{bolus === undefined ? 'No vasopressor bolus is on record in the cases looked at.' : rateSentence(bolus, beforeLoss.conf)}</p><p>Association is not cause.</p></>}>
        <BeforePart before={beforeLoss} definition={definition} onPoint={onPoint} />
      </Question>
      <Question figure="course-around-boluses" heading="What happens to perfusion index, SpO2 and pressure around a bolus?" answer="The change from the minute before, averaged over cases.">
        <AlignedPart aligned={aligned} definition={definition} onPoint={onPoint} />
      </Question>
      <Question figure="sites-over-cases" isOnlyOnScreen heading="Do two sites agree, and which comes first?" answer={<p>Differences, lag and coverage of two sites over the chosen cases have a place of their own. <Button look="link" onClick={() => session.place.set('sites')}>Go to the sites</Button></p>} />
      <Question figure="cohort-definition" heading="How much hangs on the definition?" answer={results.selection === 'computed' ? 'Minimum length, bridging, look-backs and doubtful values, one moved at a time.' : 'Only what leaves the dropouts whole that readers confirmed: longer minimum lengths and other look-backs, one moved at a time.'}>
        <DefinitionCurve points={robustness} definition={definition} />
      </Question>
    </>
  );
}
