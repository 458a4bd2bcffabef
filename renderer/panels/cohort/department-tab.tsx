import type { JSX } from 'react';
import { WHOLE_CASE, type CaseBurdenRow } from '../../../core/model/cohort-burden.ts';
import { countText } from '../../format/number-text.ts';
import { durationText } from '../../format/time-text.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { BeforePart, rateSentence } from './before-part.tsx';
import { casesOfGroup } from './group-cases.ts';
import type { TabProps } from './questions-panel.tsx';
import { Question } from './question.tsx';
import { RestorationPart, restorationSentence } from './restoration-part.tsx';

const NAMES_SHOWN = 8;

/** Returns whether other cases had a time without information as long as this one. */
export function beforeText(caseId: string, own: CaseBurdenRow | undefined, others: readonly CaseBurdenRow[]): string {
  if (own === undefined) return `${caseId}, which is open, is not among the cases looked at.`;
  if (own.longestMidMs === null) return `In ${caseId}, which is open, no time without information is long enough to count.`;
  const longest = own.longestMidMs;
  const longer = others.filter((row) => row.caseKey !== own.caseKey && (row.longestMidMs ?? 0) >= longest);
  const names = `${longer.slice(0, NAMES_SHOWN).map((row) => row.caseId).join(', ')}${longer.length > NAMES_SHOWN ? ' …' : ''}`;
  return `The longest time without information in ${caseId}, which is open, was ${durationText(longest)}. ${longer.length === 0 ? 'No other case looked at had one as long.' : `${countText(longer.length, 'other case', 'other cases')} had one as long or longer: ${names}.`}`;
}

/** Returns the questions of a department that prepares a conference on a case. */
export function DepartmentTab({ results, definition, onPoint }: TabProps): JSX.Element {
  const session = useSession();
  const state = useStore(session.cases);
  const { restoration, beforeLoss, burden } = results;
  const blind = burden.cases.filter((row) => row.place === WHOLE_CASE);
  const openCase = state.kind === 'open' ? state.openCase : null;
  const all = restoration.groups.find((group) => group.kind === 'all');
  const done = restoration.groups.filter((group) => group.kind === 'after what was done' || group.kind === 'nothing on record');
  const bolus = beforeLoss.rates.find((rate) => rate.kind === 'vasopressor bolus' && rate.label === null && rate.siteKey === null);
  const position = beforeLoss.rates.find((rate) => rate.kind === 'position' && rate.label === null && rate.siteKey === null);
  return (
    <>
      <p className="soft cohort-unstated">What the display showed and what the record kept in one case stands in the case itself. Here is what the other cases say to it.</p>
      <Question figure="time-to-information" heading="When did information go, and when did it come back?" answer={all === undefined ? 'No dropout in the cases looked at.' : restorationSentence(all, restoration.limitMs)}>
        <RestorationPart restoration={restoration} by="site" definition={definition} casesOf={(group) => casesOfGroup(group, burden.cases)} onPoint={onPoint} />
      </Question>
      <Question
        figure="rate-after-exposure"
        heading="What was happening: drug, turn?"
        answer={<>{[bolus, position].map((rate) => (rate === undefined ? null : <p key={rate.kind}>{rateSentence(rate, beforeLoss.conf)}</p>))}{bolus === undefined && position === undefined ? <p>No vasopressor bolus and no change of position is on record in the cases looked at.</p> : null}<p>Association is not cause.</p></>}
      >
        <BeforePart before={beforeLoss} definition={definition} onPoint={onPoint} />
      </Question>
      <Question
        figure="done-during"
        heading="Was it noticed, what was done, when?"
        answer={done.length === 0 ? 'Nothing is on record as done during a dropout.' : <>{done.map((group) => <p key={`${group.kind} ${group.of}`}>{restorationSentence(group, restoration.limitMs)}</p>)}<p>What was not written down is not here, and the longer a loss lasts, the more is done.</p></>}
      >
        <RestorationPart restoration={restoration} by="what was done" definition={definition} casesOf={(group) => casesOfGroup(group, burden.cases)} onPoint={onPoint} />
      </Question>
      <Question
        figure="dropouts"
        heading="Have we had this before?"
        isOnlyOnScreen={openCase === null}
        answer={
          openCase === null
            ? <p>Open the case of the conference first: it is then set beside the others. <Button look="link" onClick={() => session.place.set('library')}>Choose it in the library</Button></p>
            : beforeText(openCase.record.caseId, blind.find((row) => row.caseKey === openCase.caseKey), blind)
        }
      />
    </>
  );
}
