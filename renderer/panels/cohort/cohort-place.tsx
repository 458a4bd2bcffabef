import type { JSX } from 'react';
import { COHORT_PARTS, useSession, type CohortPart } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { useStartAtTop } from '../../widgets/start-at-top.ts';
import { NextStudyPanel } from '../next-study/next-study-panel.tsx';
import { QuestionsPanel } from './questions-panel.tsx';
import { QualityPanel } from './quality/quality-panel.tsx';
import './cohort.css';

const PART_NAMES: Readonly<Record<CohortPart, string>> = { 'questions': 'Questions', 'quality charts': 'Quality charts', 'next study': 'Next study' };

/** Returns the cohort place: questions to many cases, charts that are kept from month to month, and the study that may come next. */
export function CohortPlace(): JSX.Element {
  const session = useSession();
  const part = useStore(session.cohortPart);
  useStartAtTop(part);
  return (
    <>
      <nav aria-label="Parts of the cohort" className="part-links">
        {COHORT_PARTS.map((name) => (
          <button key={name} type="button" className="part-link" aria-current={name === part ? 'page' : undefined} onClick={() => session.cohortPart.set(name)}>{PART_NAMES[name]}</button>
        ))}
      </nav>
      {part === 'questions' ? <QuestionsPanel /> : null}
      {part === 'quality charts' ? <QualityPanel /> : null}
      {part === 'next study' ? <NextStudyPanel /> : null}
    </>
  );
}
