import { useState, type JSX } from 'react';
import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { recordedLines } from './case-facts.ts';
import { EXPLANATION_NAMES, ExplanationList } from './explanations.tsx';

/** Returns the line beneath the sums: how often each site was recorded and how its values were made, and how the figures are worked out. */
export function SumsNote({ record, analysis }: { readonly record: CaseRecord; readonly analysis: CaseAnalysis }): JSX.Element {
  const [isHowOpen, setIsHowOpen] = useState(false);
  return (
    <p className="sums-note">
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
