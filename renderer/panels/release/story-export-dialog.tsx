import { useEffect, useMemo, useState, type JSX } from 'react';
import type { Deck, DeckForm, DeckWishes } from '../../../core/model/deck.ts';
import type { ReleaseContent } from '../../../core/model/release.ts';
import { countText } from '../../format/number-text.ts';
import { describeProblem, type Problem } from '../../state/problem.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { Waiting } from '../../widgets/empty-state.tsx';
import { CheckField, SelectField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { ConfidentialityField } from './confidentiality-field.tsx';
import { ReleaseDialog, type ReleaseForm } from './release-dialog.tsx';

type Made = { readonly kind: 'making' } | { readonly kind: 'made'; readonly deck: Deck; readonly wishes: DeckWishes } | { readonly kind: 'failed'; readonly problem: Problem };

const TITLE = 'Slides of this story';

/** Returns the dialog in which a story becomes slides and pictures: what they hold is asked about first. */
export function StoryExportDialog({ storyId, onClose }: { readonly storyId: string; readonly onClose: () => void }): JSX.Element {
  const { host, reportSetting } = useSession();
  const { confidentialityText } = useStore(reportSetting);
  const [wishes, setWishes] = useState<DeckWishes>({ withNotes: false, withMarks: false, keepsLaterBack: false });
  const [picture, setPicture] = useState(0);
  const [made, setMade] = useState<Made>({ kind: 'making' });
  const [attempt, setAttempt] = useState(1);
  useEffect(() => {
    let isCurrent = true;
    host.storyDeck({ storyId, wishes }).then(
      (deck) => {
        if (isCurrent) setMade({ kind: 'made', deck, wishes });
      },
      (error: unknown) => {
        if (isCurrent) setMade({ kind: 'failed', problem: describeProblem(error, 'Making the slides') });
      },
    );
    return () => {
      isCurrent = false;
    };
  }, [host, storyId, wishes, confidentialityText, attempt]);
  const deck = made.kind === 'made' ? made.deck : null;
  const content = useMemo((): ReleaseContent | null => (deck === null ? null : { kind: 'deck', deck }), [deck]);
  if (content === null || deck === null) {
    return (
      <Dialog title={TITLE} width="wide" onClose={onClose}>
        {made.kind === 'failed' ? (
          <Notice tone="problem" title="The slides could not be made." live>
            <p>{made.problem.message} {made.problem.remedy ?? ''}</p>
            <Button onClick={() => { setMade({ kind: 'making' }); setAttempt(attempt + 1); }}>Try again</Button>
          </Notice>
        ) : <Waiting>Making the slides…</Waiting>}
      </Dialog>
    );
  }
  const pictures = picturesOf(deck);
  const form = (label: string, wanted: DeckForm): ReleaseForm => ({ label, write: (answers) => host.writeDeck({ deck, answers, form: wanted, picture, storyId }) });
  return (
    <ReleaseDialog
      title={TITLE} content={content} isStale={deck.header !== confidentialityText || (made.kind === 'made' && made.wishes !== wishes)} onClose={onClose}
      forms={[form('Save as PDF', 'pdf'), form('Save as slides (PPTX)', 'pptx'), form('Save as HTML', 'html'), ...(pictures.length === 0 ? [] : [form('Save picture as SVG', 'svg'), form('Save picture as PNG', 'png')])]}
    >
      <div className="sheet-wishes">
        <ConfidentialityField />
        <CheckField label="notes for the presenter leave too (PPTX and HTML)" checked={wishes.withNotes} onChange={(withNotes) => setWishes({ ...wishes, withNotes })} />
        <CheckField label="marks and notes pinned to the cases are shown" checked={wishes.withMarks} onChange={(withMarks) => setWishes({ ...wishes, withMarks })} />
        <CheckField label="each picture first as recorded until its instant, then whole" checked={wishes.keepsLaterBack} onChange={(keepsLaterBack) => setWishes({ ...wishes, keepsLaterBack })} />
        {pictures.length === 0 ? null : <div className="single-picture"><SelectField label="Single picture" value={String(Math.min(picture, pictures.length - 1))} choices={pictures.map((label, i) => ({ value: String(i), label }))} onChange={(value) => setPicture(Number(value))} /></div>}
      </div>
      <p className="soft">{countText(deck.slides.length, 'slide', 'slides')}, {countText(pictures.length, 'picture', 'pictures')}. Cases bear letters, times count from the first row of each. No file needs a network to be opened.</p>
    </ReleaseDialog>
  );
}

function picturesOf(deck: Deck): string[] {
  return deck.slides.flatMap(({ title, blocks }, i) => blocks.flatMap((block) => (block.kind === 'figure' ? [`Slide ${i + 1}: ${title}`] : [])));
}
