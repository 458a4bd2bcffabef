import type { JSX } from 'react';
import { STATE_WORDS } from '../../../../core/actions/action-words.ts';
import type { ActionState } from '../../../../core/model/action.ts';
import { STATE_SIGNS } from './action-words.ts';

/** Returns the state of an action as a word with its sign. */
export function StateWord({ state }: { readonly state: ActionState }): JSX.Element {
  return <span className="state-word"><span className="state-sign" aria-hidden="true">{STATE_SIGNS[state]}</span><span className="state-text">{STATE_WORDS[state]}</span></span>;
}
