import type { JSX } from 'react';
import { PAPER_NAMES } from '../../../../core/model/report-document.ts';
import { useSession } from '../../../state/session.ts';
import { useStore } from '../../../state/store.ts';
import { ChoiceRow } from '../../../widgets/field.tsx';

/** Returns the choice of a paper, one for every report: what was made for another is forgotten. */
export function PaperChoice(): JSX.Element {
  const { preferences, reports } = useSession();
  const { paper } = useStore(preferences);
  return (
    <ChoiceRow
      legend="Paper" value={paper} choices={PAPER_NAMES.map((name) => ({ value: name, label: name }))}
      onChange={(value) => {
        const found = PAPER_NAMES.find((name) => name === value);
        if (found === undefined) return;
        reports.department.forget();
        reports.sheets.forget();
        preferences.change({ paper: found });
      }}
    />
  );
}
