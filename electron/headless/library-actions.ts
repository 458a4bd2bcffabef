import { randomBytes } from 'node:crypto';
import { stat } from 'node:fs/promises';
import { resolve } from 'node:path';
import { findingWords, standingWords, STATE_WORDS } from '../../core/actions/action-words.ts';
import type { ActionView } from '../../core/model/action.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import { writeAtomically } from '../host/atomic-write.ts';
import type { Host } from '../host/host.ts';
import { systemCode } from '../host/write-failure.ts';

/** What is asked of the actions of a library, of either kind. */
export interface LibraryActionsCall {
  readonly command: 'library';
  readonly action: 'actions';
  readonly library: string;
  /** Ends in .csv or .json. */
  readonly out: string;
  readonly measureAgain: boolean;
  /** First digits of the one action that is to be measured; undefined: every one that can be. */
  readonly only: string | undefined;
  /** `YYYY-MM-DD`; undefined: the day of this computer. */
  readonly today: string | undefined;
  readonly by: string | undefined;
}

/**
 * Returns where the actions are to be written and in which form, before anything of the library is opened.
 * Errors  throws a FailureError: `bad-name`, `file-there`.
 */
export async function checkActionsFile(out: string): Promise<'csv' | 'json'> {
  const form = /\.(csv|json)$/i.exec(out)?.[1]?.toLowerCase();
  if (form !== 'csv' && form !== 'json') throw new FailureError({ code: 'bad-name', message: `The file ${out} ends in neither .csv nor .json.`, remedy: 'Its ending says in which form the actions are written.' });
  if (await stat(resolve(out)).then(() => true, () => false)) throw new FailureError({ code: 'file-there', message: `There is a file ${out} already.`, remedy: 'Choose another name, or remove it.' });
  return form;
}

/** Writes the actions of an open library into a file, measured again first where that is asked; returns the exit code: 1 where one could not be measured. */
export async function writeActions(host: Host, { out, measureAgain, only, today: given, by }: LibraryActionsCall, form: 'csv' | 'json', now: Date, say: (line: string) => void): Promise<0 | 1> {
  const today = given ?? localDay(now);
  const asker = { today, ...(by === undefined ? {} : { by }) };
  const views = await host.listActions({ today });
  const chosen = views.filter(({ action }) => only === undefined || action.actionId.startsWith(only.toLowerCase()));
  if (only !== undefined && chosen.length === 0) throw new FailureError({ code: 'action-missing', message: `The library has no action whose name begins with ${only}.`, remedy: 'Take it from the column action_id of actions.csv.' });
  let failed = 0;
  for (const view of measureAgain ? chosen.filter(canBeMeasured) : []) {
    const { actionId, edition } = view.action;
    const name = actionId.slice(0, 8);
    try {
      const { actions, isNew, leftOut } = await host.measureAgain({ jobId: randomBytes(16).toString('hex'), actionId, edition, ...asker });
      const last = actions.find(({ action }) => action.actionId === actionId)?.last ?? null;
      say(`action ${name}: ${last === null ? 'not measured' : (findingWords(last) ?? standingWords(last))}${isNew ? '' : ' The same as before; nothing was written.'}`);
      for (const { reason } of leftOut.slice(0, 1)) say(`action ${name}: ${leftOut.length} cases could not be read; the first: ${reason}`);
    } catch (error) {
      const failure = toFailure(error);
      if (failure.code === 'internal') throw error;
      failed += 1;
      say(`action ${name}: ${[failure.message, failure.remedy].filter(Boolean).join(' ')}`);
    }
  }
  const { text } = await host.actionsText({ today, form });
  await writeAtomically(resolve(out), text).catch((error: unknown) => {
    throw new FailureError({ code: 'file-unwritable', message: `The file ${out} could not be written (${systemCode(error)}).`, remedy: 'Choose another place.' });
  });
  const after = measureAgain ? await host.listActions({ today }) : views;
  const counts = Object.entries(STATE_WORDS).flatMap(([state, words]) => {
    const count = after.filter((view) => view.state === state).length;
    return count === 0 ? [] : [`${count} ${words}`];
  });
  say(`${after.length} actions${counts.length === 0 ? '' : ` (${counts.join(', ')})`} written to ${out}. Their texts are as they were typed: look at them before they are passed on.`);
  return failed === 0 ? 0 : 1;
}

/** A change was said, there is a measure, and nobody has settled it. */
function canBeMeasured({ action, state }: ActionView): boolean {
  return action.measure !== null && (state === 'change made' || state === 'measured again');
}

/** The day of this computer's calendar. */
function localDay(now: Date): string {
  return `${now.getFullYear()}-${String(now.getMonth() + 1).padStart(2, '0')}-${String(now.getDate()).padStart(2, '0')}`;
}
