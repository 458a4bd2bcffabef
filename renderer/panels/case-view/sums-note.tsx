import { useState, type JSX } from 'react';
import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import type { ConfirmedSumsState } from '../../state/confirmed-sums.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { recordedLines } from './case-facts.ts';
import { outcomeCountsText, withoutDropoutText } from '../review/review-words.ts';
import { EXPLANATION_NAMES, ExplanationList } from './explanations.tsx';

export interface SumsNoteProps {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis;
  readonly sums: ConfirmedSumsState;
  /** Whether the verdicts of others are kept from the reader. */
  readonly isHidden: boolean;
  readonly onRetry: () => void;
}

/** Returns the line beneath the sums: what reviewers made of the dropouts, how often each site was recorded and how its values were made, and how the figures are worked out. */
export function SumsNote({ record, analysis, sums, isHidden, onRetry }: SumsNoteProps): JSX.Element {
  const [isHowOpen, setIsHowOpen] = useState(false);
  return (
    <p className="sums-note">
      {sums.kind === 'ready' ? (
        <span>
          {outcomeCountsText(sums.figures.all)} {withoutDropoutText(sums.figures.without)}{isHidden ? ' Verdicts that are hidden from you are not counted.' : ''}
          {sums.figures.isExcluded ? ' A reader has flagged the case to be left out of figures over cases.' : ''}{' '}
        </span>
      ) : null}
      {sums.kind === 'failed' ? <span role="status"><strong>{sums.problem.message}</strong> {sums.problem.remedy ?? ''} <Button look="link" onClick={onRetry}>Try again</Button> </span> : null}
      <span className="soft">{recordedLines(analysis, record).map((line) => `${line}. `)}</span>
      <Button look="link" onClick={() => setIsHowOpen(true)}>How figures are worked out</Button>
      {isHowOpen ? (
        <Dialog title="How the figures of this screen are worked out" onClose={() => setIsHowOpen(false)} width="wide">
          <ExplanationList names={EXPLANATION_NAMES} />
        </Dialog>
      ) : null}
    </p>
  );
}
