import { useEffect, useState, type JSX } from 'react';
import { MOST_HEADER_CHARACTERS } from '../../../core/model/report-document.ts';
import type { Problem } from '../../state/problem.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { TextField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';

/** Returns the confidentiality text of the library, edited where it is used. */
export function ConfidentialityField(): JSX.Element {
  const { reportSetting } = useSession();
  const { confidentialityText } = useStore(reportSetting);
  const [text, setText] = useState(confidentialityText);
  const [problem, setProblem] = useState<Problem | null>(null);
  useEffect(() => setText(confidentialityText), [confidentialityText]);
  const fault = text.length > MOST_HEADER_CHARACTERS ? `it has to fit on one line, ${MOST_HEADER_CHARACTERS} characters at most` : null;
  return (
    <>
      <TextField
        label="Confidentiality text, printed on every page and slide" value={text} error={fault} onChange={setText}
        hint="As local policy words it, for everything that leaves this library; empty for none. It creates no legal protection, and neither does the program: that follows local law."
      />
      <Button disabled={fault !== null || text.trim() === confidentialityText} onClick={() => void reportSetting.changeText(text.trim()).then(setProblem)}>Use this text</Button>
      {problem === null ? null : <Notice tone="problem" title="The text was not kept." live><p>{problem.message} {problem.remedy ?? ''}</p></Notice>}
    </>
  );
}
