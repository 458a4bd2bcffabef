import { z } from 'zod';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { ACTIONS_MOST } from '../../core/model/action.ts';
import type { MeetingAction } from '../../core/model/action.ts';
import { meetingActionSchema } from '../../core/model/action-schema.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { ActionStore } from './case-store.ts';
import type { LibraryDocument } from './library-shelf.ts';

const SCHEMA = 'lacuna-actions/1';
const storedSchema = z.looseObject({ measure: z.looseObject({ definition: z.looseObject({ parameters: z.looseObject({}) }) }).nullable() });
const fileSchema = z.object({ schema: z.literal(SCHEMA), actions: z.array(storedSchema) });

/**
 * Returns the actions that are kept in a document, in the order in which they were written. None is ever removed.
 * Missing  no text: none. A parameter that an earlier version did not know takes its default, as in quality charts.
 * Errors   rejects with a FailureError: `actions-damaged`, `actions-full`, `action-missing`, `action-changed`, or what the disk refused.
 */
export function buildKeptActions(document: LibraryDocument): ActionStore {
  async function list(): Promise<readonly MeetingAction[]> {
    const text = await document.read();
    try {
      if (text === null) return [];
      return fileSchema.parse(JSON.parse(text)).actions.map((stored) => meetingActionSchema.parse(withDefaults(stored)));
    } catch {
      throw new FailureError({ code: 'actions-damaged', message: 'The actions of the library cannot be read.', remedy: `${document.wayBack}. Nothing is written over what is there.` });
    }
  }
  async function write(actions: readonly MeetingAction[]): Promise<readonly MeetingAction[]> {
    await document.replace(`${JSON.stringify({ schema: SCHEMA, actions }, null, 2)}\n`);
    return actions;
  }
  return {
    list,
    async add(action) {
      const actions = await list();
      if (actions.length >= ACTIONS_MOST) throw new FailureError({ code: 'actions-full', message: `A library can hold ${ACTIONS_MOST} actions.`, remedy: 'Write the actions out, and begin a new library for the next years.' });
      return await write([...actions, action]);
    },
    async replace(action, before) {
      const actions = await list();
      const stored = actions.find(({ actionId }) => actionId === before.actionId);
      if (stored === undefined) throw actionMissing();
      if (stored.edition !== before.edition) throw actionChanged();
      return await write(actions.map((one) => (one.actionId === action.actionId ? action : one)));
    },
  };
}

function withDefaults(stored: z.infer<typeof storedSchema>): unknown {
  const { measure } = stored;
  if (measure === null) return stored;
  return { ...stored, measure: { ...measure, definition: { ...measure.definition, parameters: { ...DEFAULT_PARAMETERS, ...measure.definition.parameters } } } };
}

/** The failure that there is no such action. */
export function actionMissing(): FailureError {
  return new FailureError({ code: 'action-missing', message: 'The library has no such action.', remedy: 'Look at the list of actions again.' });
}

/** The failure that an action is another one than the page knows. */
export function actionChanged(): FailureError {
  return new FailureError({ code: 'action-changed', message: 'The action was changed in another window meanwhile.', remedy: 'Look at it again, then make your change.' });
}
