import { useEffect, type JSX } from 'react';
import { notMeasuredAgain } from '../../../state/actions.ts';
import { numberText } from '../../../format/number-text.ts';
import { useSession } from '../../../state/session.ts';
import { useStore } from '../../../state/store.ts';

/** Returns how many actions are not measured again, beside the title of their tab; nothing where there is none. */
export function ActionCount(): JSX.Element | null {
  const { actions: store } = useSession();
  const { actions } = useStore(store);
  useEffect(() => {
    if (store.get().actions === null) void store.load();
  }, [store]);
  const count = notMeasuredAgain(actions ?? []);
  return count === 0 ? null : <span className="place-detail"> {numberText(count)} not measured again</span>;
}
