import type { JSX } from 'react';
import type { AnalysisParameters } from '../../../core/model/parameters.ts';
import { sameParameters } from '../../../core/model/same-parameters.ts';
import { shortDefinitionText } from '../../format/definition-text.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';

/** Returns which set figures were worked out with, and that definitions on trial are not in them where they differ. */
export function UsedDefinition({ parameters }: { readonly parameters: AnalysisParameters }): JSX.Element {
  const { draft } = useStore(useSession().definitions);
  return (
    <span className="soft">
      Definition: {shortDefinitionText(parameters)}.
      {sameParameters(draft, parameters) ? null : <strong className="trial"> Those on trial (“{draft.name}”) are not used here.</strong>}
    </span>
  );
}
