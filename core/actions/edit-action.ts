import { type Failure, type Result, fail, ok } from '../base/result.ts';
import { looksLikePerson, namesSomebody } from '../identity/person-in-role.ts';
import { ACTION_TEXT_MOST, OWNER_ROLE_MOST } from '../model/action.ts';
import type { ActionChange, ActionDraft, ActionMeasure, ActionOrigin, ActionSettled, MeetingAction, Remeasurement } from '../model/action.ts';
import { actionState } from './action-state.ts';

/** What is written of an action, with the measure that its chart stands for. */
export interface WrittenAction extends Omit<ActionDraft, 'chartId'> {
  readonly measure: ActionMeasure | null;
  /** A person was asked about what looks like a name and said that it names nobody. */
  readonly saidNoPerson: boolean;
}

/** A step of an action, as the library makes it. */
export type ActionStep =
  | { readonly kind: 'write'; readonly written: WrittenAction }
  | { readonly kind: 'say change'; readonly date: string; readonly text: string; readonly mark: ActionChange['mark']; readonly saidNoPerson: boolean }
  /** The change is marked on the action's chart, which it was not before. */
  | { readonly kind: 'marked'; readonly mark: NonNullable<ActionChange['mark']> }
  | { readonly kind: 'take change back'; readonly reason: string }
  | { readonly kind: 'settle'; readonly as: ActionSettled['as']; readonly reason: string }
  | { readonly kind: 'measured'; readonly remeasurement: Remeasurement };

/** Returns a new action, or why it cannot be written so: `no-text`, `no-owner`, `looks-like-person`. `now`: ISO instant. */
export function newAction(written: WrittenAction, origin: ActionOrigin, { actionId, now }: { readonly actionId: string; readonly now: string }): Result<MeetingAction> {
  const plain = plainText(written);
  const refused = refusalOf(plain);
  if (refused !== null) return fail(refused);
  return ok({ actionId, edition: 1, ...plain, origin, writtenAt: now, change: null, takenBack: [], remeasurements: [], settled: [] });
}

/**
 * Returns an action after a step, or why it cannot be taken. No step takes anything away that was measured or said of it: what is taken back
 * is kept as such.
 * Errors  as for `newAction`; `action-settled` for every step but taking it up again; `change-said`, `no-change`, `not-measured`, `change-made`,
 *         `not-settled`, `no-reason`.
 */
export function editAction(action: MeetingAction, step: ActionStep, now: string): Result<MeetingAction> {
  const state = actionState(action);
  const isSettled = state === 'closed' || state === 'not carried out';
  const takesUp = step.kind === 'settle' && step.as === 'taken up again';
  if (isSettled && !takesUp) return fail({ code: 'action-settled', message: `This action is ${state === 'closed' ? 'closed' : 'marked as not carried out'}.`, remedy: 'Take it up again first, with a reason.' });
  const changed = (part: Partial<MeetingAction>): Result<MeetingAction> => ok({ ...action, ...part, edition: action.edition + 1 });
  switch (step.kind) {
    case 'write': {
      const plain = plainText(step.written);
      const refused = refusalOf(plain);
      return refused === null ? changed(plain) : fail(refused);
    }
    case 'say change': {
      const text = step.text.trim();
      if (action.change !== null) return fail({ code: 'change-said', message: `The change is already said: from ${action.change.date} on.`, remedy: 'Take it back first, with a reason, where the day or the words are wrong.' });
      if (text === '' || text.length > ACTION_TEXT_MOST) return fail({ code: 'no-text', message: 'A change needs a few words.', remedy: 'Write what was changed, such as “second sensor with tucked arms”.' });
      if (!step.saidNoPerson && namesSomebody(text)) return fail(personIn('What was changed'));
      return changed({ change: { date: step.date, text, mark: step.mark, saidAt: now }, saidNoPerson: action.saidNoPerson || (step.saidNoPerson && namesSomebody(text)) });
    }
    case 'marked':
      return action.change === null ? fail(noChange()) : changed({ change: { ...action.change, mark: step.mark } });
    case 'take change back':
      if (action.change === null) return fail({ code: 'no-change', message: 'No change was said of this action.', remedy: 'There is nothing to take back.' });
      if (step.reason.trim() === '') return fail(noReason('A change is taken back'));
      return changed({ change: null, takenBack: [...action.takenBack, { ...action.change, reason: step.reason.trim(), takenBackAt: now }] });
    case 'settle': {
      if (step.reason.trim() === '') return fail(noReason('An action is closed, given up or taken up again'));
      if (takesUp && !isSettled) return fail({ code: 'not-settled', message: 'This action is open as it is.', remedy: 'There is nothing to take up again.' });
      if (step.as === 'closed' && state !== 'measured again') return fail({ code: 'not-measured', message: 'This action was not measured again, so it stays open.', remedy: state === 'open' ? 'Say the change that was made, and measure again after it; or mark the action as not carried out, where nothing was changed.' : 'Measure again once enough cases lie after the change.' });
      if (step.as === 'not carried out' && action.change !== null) return fail({ code: 'change-made', message: 'A change was made for this action: what it did has to be measured before it is closed.', remedy: 'Measure again; or take the change back, with a reason, where it was not made.' });
      return changed({ settled: [...action.settled, { as: step.as, reason: step.reason.trim(), at: now }] });
    }
    case 'measured':
      if (action.change === null || action.measure === null) return fail(noChange());
      // The same figures once more say nothing new: what is kept stays as it is, byte for byte.
      return isSameMeasurement(action.remeasurements.at(-1), step.remeasurement) ? ok(action) : changed({ remeasurements: [...action.remeasurements, step.remeasurement] });
  }
}

/** The failure that there is nothing to measure again. */
export function noChange(): Failure {
  return { code: 'no-change', message: 'There is nothing to measure again: the action has no measure, or no change was said of it.', remedy: 'Choose a quality chart for the action, and say from which day on what was changed.' };
}

/** Returns whether two re-measurements say the same; when, and by which version, does not matter. */
function isSameMeasurement(before: Remeasurement | undefined, { measuredAt: _at, productVersion: _by, ...now }: Remeasurement): boolean {
  if (before === undefined) return false;
  const { measuredAt: _beforeAt, productVersion: _beforeBy, ...then } = before;
  return canonical(then) === canonical(now);
}

/** Keys in order, so that what was read from a disk equals what was just worked out. */
function canonical(value: unknown): string {
  return JSON.stringify(value, (_key, part: unknown) => (typeof part === 'object' && part !== null && !Array.isArray(part) ? Object.fromEntries(Object.entries(part).sort(([a], [b]) => (a < b ? -1 : 1))) : part));
}

function plainText({ what, ownerRole, due, measure, saidNoPerson }: WrittenAction): WrittenAction {
  return { what: what.trim(), ownerRole: ownerRole.trim(), due, measure, saidNoPerson: saidNoPerson && (looksLikePerson(ownerRole) || namesSomebody(what)) };
}

function refusalOf({ what, ownerRole, saidNoPerson }: WrittenAction): Failure | null {
  if (what === '' || what.length > ACTION_TEXT_MOST) return { code: 'no-text', message: 'An action needs words: what is to be done.', remedy: `Write it in a sentence, in up to ${ACTION_TEXT_MOST} letters.` };
  if (ownerRole === '' || ownerRole.length > OWNER_ROLE_MOST) return { code: 'no-owner', message: 'An action needs somebody who sees to it.', remedy: 'Write a role, such as “lead for monitoring”; not the name of a person.' };
  if (saidNoPerson) return null;
  if (looksLikePerson(ownerRole)) return personIn('The owner');
  if (namesSomebody(what)) return personIn('What is to be done');
  return null;
}

function personIn(field: string): Failure {
  return { code: 'looks-like-person', message: `${field} looks like it names a person.`, remedy: 'Write a role instead, such as “lead for monitoring”; or say that it names nobody, and keep it as it is.' };
}

function noReason(what: string): Failure {
  return { code: 'no-reason', message: `${what} for a reason.`, remedy: 'Write it in a few words: it is kept.' };
}
