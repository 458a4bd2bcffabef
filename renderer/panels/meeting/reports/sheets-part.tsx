import { useEffect, useMemo, useState, type JSX } from 'react';
import type { ReportForm } from '../../../../core/model/deck.ts';
import type { ReleaseContent } from '../../../../core/model/release.ts';
import { MOST_SHEETS, type ReportSheets } from '../../../../core/model/report-document.ts';
import { casesOfStory } from '../../../../core/model/story.ts';
import type { CaseSummary } from '../../../../core/protocol/host-api.ts';
import type { MadeSheets } from '../../../../core/protocol/report-api.ts';
import { countText, numberText } from '../../../format/number-text.ts';
import { chosenAmong } from '../../../state/chosen-cases.ts';
import { useSession } from '../../../state/session.ts';
import { useStore } from '../../../state/store.ts';
import { Button } from '../../../widgets/button.tsx';
import { CheckField, ChoiceRow, SelectField } from '../../../widgets/field.tsx';
import { Notice } from '../../../widgets/notice.tsx';
import { ReportView } from '../../case-view/report-view.tsx';
import { ReleaseDialog, type ReleaseForm } from '../../release/release-dialog.tsx';
import '../../case-view/report-view.css';
import { CasePicker } from './case-picker.tsx';
import { PaperChoice } from './paper-choice.tsx';
import { Work } from './work.tsx';

const SOURCES = ['picked', 'chosen', 'story'] as const;
type CaseSource = (typeof SOURCES)[number];
/** Nothing of a patient may stand in the name of a file. */
const SHEETS_FILE = 'case-sheets';

/** Returns the sheets of several cases: whose, made, looked at one by one, and saved as one file once every word of all of them is answered. */
export function SheetsPart({ cases }: { readonly cases: readonly CaseSummary[] }): JSX.Element {
  const session = useSession();
  const { sheets } = session.reports;
  const state = useStore(sheets);
  const { paper } = useStore(session.preferences);
  const chosen = useStore(session.chosen);
  const stories = useStore(session.stories);
  const [source, setSource] = useState<CaseSource>(chosen.size > 0 ? 'chosen' : 'picked');
  const [picked, setPicked] = useState<ReadonlySet<string>>(new Set());
  const [storyId, setStoryId] = useState('');
  const [relativeTime, setRelativeTime] = useState(false);
  useEffect(() => {
    if (source === 'story' && session.stories.get().stories === null) void session.stories.load();
  }, [session, source]);
  const story = stories.stories?.find((one) => one.storyId === storyId) ?? stories.stories?.[0] ?? null;
  const wanted = useMemo((): readonly CaseSummary[] => {
    if (source === 'chosen') return chosenAmong(cases, chosen);
    if (source === 'picked') return chosenAmong(cases, picked);
    return story === null ? [] : chosenAmong(cases, new Set(casesOfStory(story)));
  }, [source, cases, chosen, picked, story]);
  const inLibrary = useMemo(() => chosenAmong(cases, chosen).length, [cases, chosen]);
  const gone = source === 'story' && story !== null ? casesOfStory(story).length - wanted.length : 0;
  const isTooMany = wanted.length > MOST_SHEETS;
  // What was made is of other cases, or of another look, after any change.
  const changing = <A,>(change: (next: A) => void) => (next: A): void => {
    sheets.forget();
    change(next);
  };
  const made = state.kind === 'made' ? state.made : null;
  return (
    <section aria-labelledby="reports-sheets">
      <h2 id="reports-sheets" tabIndex={-1}>Case sheets</h2>
      <p className="soft">One page of each case, all in one file: what was lost, when, what preceded it. A sheet of one case is also made where the case is open.</p>
      <div className="reports-controls">
        <ChoiceRow
          legend="Sheets of" value={source}
          choices={[
            { value: 'picked', label: picked.size === 0 ? 'Cases picked here' : `${countText(picked.size, 'case', 'cases')} picked here` },
            { value: 'chosen', label: inLibrary === 0 ? 'Those chosen in the library (none yet)' : `The ${numberText(inLibrary)} chosen in the library` },
            { value: 'story', label: 'The cases of a story' },
          ]}
          onChange={changing((value) => setSource(SOURCES.find((one) => one === value) ?? 'picked'))}
        />
        {source === 'story' && stories.stories !== null && stories.stories.length > 0 ? <SelectField label="Story" value={story?.storyId ?? ''} choices={stories.stories.map(({ storyId: value, title }) => ({ value, label: title }))} onChange={changing(setStoryId)} /> : null}
      </div>
      {source === 'picked' ? <CasePicker cases={cases} picked={picked} onChange={changing(setPicked)} /> : null}
      {source === 'chosen' && wanted.length === 0 ? <p>No case is chosen in the library. <Button look="link" className="only-screen" onClick={() => session.place.set('library')}>Choose some there</Button>, or pick them here.</p> : null}
      {source === 'story' && stories.problem !== null ? <Notice tone="problem" title={stories.problem.message} live><p>{stories.problem.remedy ?? ''}</p><Button onClick={() => void session.stories.load()}>Try again</Button></Notice> : null}
      {source === 'story' && stories.stories?.length === 0 ? <p>There is no story yet. <Button look="link" className="only-screen" onClick={() => session.meetingPart.set('stories')}>Make one</Button></p> : null}
      {source === 'story' && story !== null && wanted.length === 0 ? <p>No case of this story is in the library.</p> : null}
      {gone > 0 && wanted.length > 0 ? <p className="soft">{countText(gone, 'case of the story is', 'cases of the story are')} not in the library any more, or cannot be read.</p> : null}
      <div className="reports-controls">
        <PaperChoice />
        <CheckField label="times from the first row of each case only: no date, no clock" checked={relativeTime} onChange={changing(setRelativeTime)} />
      </div>
      {isTooMany ? <p className="field-error" role="status">{numberText(wanted.length)} cases are chosen, and {numberText(MOST_SHEETS)} sheets at most are made at once: choose fewer, or write the sheets of all input files without the window (report case).</p> : null}
      <Work work={sheets} state={state} isFaulty={wanted.length === 0 || isTooMany} make={wanted.length < 2 ? 'Make the sheets' : `Make ${numberText(wanted.length)} sheets`} making="Making the sheets" onMake={() => void sheets.make({ caseKeys: wanted.map(({ caseKey }) => caseKey), paper, relativeTime })} />
      {made === null ? null : <MadePart made={made} />}
    </section>
  );
}

function MadePart({ made }: { readonly made: MadeSheets }): JSX.Element {
  const session = useSession();
  const { sheets, leftOut } = made;
  const [at, setAt] = useState(0);
  const [isLeaving, setIsLeaving] = useState(false);
  const together = useMemo((): ReportSheets => ({ title: `Case sheets of ${countText(sheets.length, 'case', 'cases')}`, documents: sheets.map(({ document }) => document) }), [sheets]);
  const content = useMemo((): ReleaseContent => ({ kind: 'sheets', sheets: textsOnly(together) }), [together]);
  const form = (label: string, wanted: ReportForm): ReleaseForm => ({ label, write: (answers) => session.host.writeSheets({ sheets: together, answers, form: wanted, fileName: SHEETS_FILE, caseKeys: sheets.map(({ caseKey }) => caseKey) }) });
  const shown = sheets[Math.min(at, sheets.length - 1)];
  const long = sheets.filter(({ pages }) => pages > 1);
  const notInFont = [...new Set(sheets.flatMap((sheet) => [...sheet.notInFont]))].sort().join('');
  return (
    <>
      {isLeaving ? <ReleaseDialog title="Case sheets: what would go out" content={content} forms={[form('Save as PDF', 'pdf'), form('Save as HTML', 'html')]} onClose={() => setIsLeaving(false)} /> : null}
      {leftOut.length === 0 ? null : <Notice tone="caution" title={`${countText(leftOut.length, 'case', 'cases')} could not be read:`}><ul>{leftOut.map(({ caseId, reason }) => <li key={caseId}>{caseId}: {reason}</li>)}</ul></Notice>}
      {shown === undefined ? <p role="status">No sheet was made.</p> : (
        <>
          <Notice tone="caution"><p>Below are the sheets as they would be written. Every word of all of them is listed before they are saved, and what may identify somebody is asked about; rare procedures may still point to a person.</p></Notice>
          {long.length === 0 ? null : <Notice tone="caution"><p>{long.map(({ caseId, pages }) => `${caseId} needs ${numberText(pages)} pages`).join('; ')}: what has to stand on a sheet, every sensor among it, does not fit one page even with the fewest losses and the lowest lanes.</p></Notice>}
          {notInFont === '' ? null : <Notice tone="caution"><p>The PDF shows □ for characters that its font does not have: {notInFont}. The HTML has them.</p></Notice>}
          <div className="reports-controls">
            <Button look="primary" onClick={() => setIsLeaving(true)}>Check the words and save…</Button>
            <Button onClick={() => session.writeAction({ kind: 'report', title: together.title })}>Write an action…</Button>
            <span className="soft" role="status">{countText(sheets.length, 'sheet', 'sheets')}, PDF of {countText(sheets.reduce((sum, { pages }) => sum + pages, 0), 'page', 'pages')}{long.length === 0 ? ': one of each case' : ''}.</span>
          </div>
          {sheets.length === 1 ? null : (
            <div className="reports-controls">
              <SelectField label="Sheet looked at" value={String(sheets.indexOf(shown))} choices={sheets.map(({ caseId }, i) => ({ value: String(i), label: `${numberText(i + 1)} of ${numberText(sheets.length)}: ${caseId}` }))} onChange={(value) => setAt(Number(value))} />
              <Button disabled={at === 0} onClick={() => setAt(at - 1)}>Previous sheet</Button>
              <Button disabled={at >= sheets.length - 1} onClick={() => setAt(at + 1)}>Next sheet</Button>
            </div>
          )}
          <ReportView document={shown.document} />
        </>
      )}
    </>
  );
}

/** Returns sheets with nothing but texts in their pictures: what is listed is the same, and lines and areas of many cases need not travel with every answer. */
function textsOnly({ title, documents }: ReportSheets): ReportSheets {
  return {
    title,
    documents: documents.map((document) => ({
      ...document,
      blocks: document.blocks.map((block) => (block.kind === 'figure' ? { ...block, figure: { ...block.figure, scene: { ...block.figure.scene, shapes: block.figure.scene.shapes.filter(({ kind }) => kind === 'text') } } } : block)),
    })),
  };
}
