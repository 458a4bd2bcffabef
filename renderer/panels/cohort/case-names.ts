import { useCallback, useMemo } from 'react';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';

/** Returns the names of cases by their keys, as the library has them. */
export function useCaseNames(): (caseKey: string) => string {
  const library = useStore(useSession().library);
  const names = useMemo(() => new Map(library.kind === 'ready' ? library.cases.map((summary) => [summary.caseKey, summary.caseId]) : []), [library]);
  return useCallback((caseKey) => names.get(caseKey) ?? 'a case that is gone', [names]);
}
