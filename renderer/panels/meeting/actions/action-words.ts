import { overdueWords } from '../../../../core/actions/action-words.ts';
import { FEW_UNITS } from '../../../../core/model/cohort-caution.ts';
import type { ActionOrigin, ActionState, ActionView } from '../../../../core/model/action.ts';
import { countText, numberText } from '../../../format/number-text.ts';
import { dateText } from '../../../format/time-text.ts';

/** Signs of the states, told apart by shape: what is hollow waits, what is full is measured. */
export const STATE_SIGNS: Readonly<Record<ActionState, string>> = { 'open': '○', 'change made': '◐', 'measured again': '●', 'closed': '■', 'not carried out': '□' };

/** Returns when an action is due, with how long it is late. */
export function dueText(view: ActionView): string {
  const late = overdueWords(view);
  return [view.action.due === null ? 'no day set' : dateText(view.action.due), ...(late === null ? [] : [late])].join(', ');
}

/** Returns how an action came to be written, to stand behind “written”. */
export function originText(origin: ActionOrigin): string {
  switch (origin.kind) {
    case 'story':
      return `from the story “${origin.title}”${origin.momentId === null ? '' : ', one of its moments'}`;
    case 'report':
      return `from the report “${origin.title}”`;
    case 'by hand':
      return 'by hand';
  }
}

/** Returns the state of all actions in a sentence or two. */
export function standingText(actions: readonly ActionView[]): string {
  const count = (state: ActionState): number => actions.filter((view) => view.state === state).length;
  const late = actions.filter(({ overdueDays }) => overdueDays !== null && overdueDays > 0).length;
  const [open, changed, measured] = [count('open'), count('change made'), count('measured again')];
  if (open + changed + measured === 0) return 'Every action is closed or was given up.';
  const parts = [
    ...(open === 0 ? [] : [`${countText(open, 'action is', 'actions are')} open${late === 0 ? '' : `, ${late === open ? (open === 1 ? 'and overdue' : 'all of them overdue') : `${numberText(late)} of them overdue`}`}`]),
    ...(changed === 0 ? [] : [`${countText(changed, 'was', 'were')} changed and not measured again`]),
    ...(measured === 0 ? [] : [`${countText(measured, 'was', 'were')} measured again and ${measured === 1 ? 'waits' : 'wait'} to be closed`]),
  ];
  return `${parts.join('; ')}.`;
}

/** Returns what stands next for an action. */
export function nextText({ action, state, measurableFrom, last }: ActionView): string {
  switch (state) {
    case 'open':
      return action.measure === null ? 'Choose a quality chart that it is measured by, then say the change when it is made.' : 'Say the change when it is made.';
    case 'change made':
      if (action.measure === null) return 'It has no measure: choose a quality chart, so that it can be measured again.';
      if (last?.standing === 'too few cases') return `Measure again once each side has at least ${numberText(FEW_UNITS)} patients or cases.`;
      if (last?.standing === 'no interval') return 'Measure again when more cases lie on each side of the change.';
      return measurableFrom === null ? 'Measure again once a whole group of cases lies after the change.' : `Measure again once a whole month lies after the change: from ${dateText(measurableFrom)} on, or when the library has cases of that month.`;
    case 'measured again':
      return 'Close it, or measure once more when there are more cases.';
    case 'closed':
      return 'It can be taken up again.';
    case 'not carried out':
      return 'It can be taken up again.';
  }
}

