import type { JSX } from 'react';
import { definitionText } from '../../../../core/model/definition-text.ts';
import type { AnalysisParameters } from '../../../../core/model/parameters.ts';
import type { Story } from '../../../../core/model/story.ts';
import { countText } from '../../../format/number-text.ts';

export interface StoryFrameProps {
  readonly story: Story;
  readonly labels: ReadonlyMap<string, string>;
  readonly which: 'beginning' | 'end';
  /** What the shown cases were analysed under; null while none is read. */
  readonly parameters: AnalysisParameters | null;
  readonly confidentialityText: string;
}

/** Returns the screen before the first moment, or after the last: what is asked, of which cases, under which definition, and the text of local policy. */
export function StoryFrame({ story, labels, which, parameters, confidentialityText }: StoryFrameProps): JSX.Element {
  const cases = [...labels.values()];
  return (
    <section className="presenting-frame">
      <p className="presenting-frame-policy">{confidentialityText}</p>
      <h1>{story.title}</h1>
      {story.question === '' ? null : <p className="presenting-frame-question">{story.question}</p>}
      <p>{cases.length === 0 ? 'No case is shown.' : `${countText(cases.length, 'case', 'cases')}: ${cases.join(', ')}. Times count from the first row of each.`}</p>
      {/* The name of a set of parameters is somebody's own word. */}
      {parameters === null ? null : <p className="soft">Definition in force: {definitionText({ ...parameters, name: '' }).replace('set “”: ', '')}.</p>}
      <p className="soft">Made for looking back. A link in time is association: it does not show that a drug or a position caused a loss.</p>
      <p className="soft only-screen">{which === 'beginning' ? 'Page down begins.' : 'End of the story. Page up goes back, Q ends.'}</p>
    </section>
  );
}
