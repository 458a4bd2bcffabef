import { useSession } from '../../../state/session.ts';
import { useStore } from '../../../state/store.ts';

/** Returns whether anybody has read one of the cases (null: of the library), as far as it is known yet. */
export function useHasVerdicts(caseKeys: readonly string[] | null): boolean {
  const states = useStore(useSession().reviewStates);
  if (states.kind !== 'ready') return false;
  const keys = caseKeys === null ? [...states.byCase.keys()] : caseKeys;
  return keys.some((key) => (states.byCase.get(key)?.readers ?? 0) > 0);
}
