import { z } from 'zod';
import { caseListRequestSchema, listDecisionsSchema } from '../../core/model/case-list-schema.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { ListDecisionStore } from './case-store.ts';
import type { LibraryDocument } from './library-shelf.ts';

const SCHEMA = 'lacuna-case-lists/1';
/** Of so many lists the decisions are kept, the last ones. */
const MOST_LISTS = 200;
const fileSchema = z.object({ schema: z.literal(SCHEMA), lists: z.array(z.strictObject({ sha256: z.string(), request: caseListRequestSchema, decisions: listDecisionsSchema })) });

/**
 * Returns what was decided about lists of cases, kept in a document by the content of the list: row numbers and keys of cases, no text
 * of the list.
 * Missing  no text, or a list of other content: null.
 * Errors   rejects with a FailureError: `decisions-damaged`, or what the disk refused.
 */
export function buildListDecisions(document: LibraryDocument): ListDecisionStore {
  async function read(): Promise<z.infer<typeof fileSchema>['lists']> {
    const text = await document.read();
    try {
      return text === null ? [] : fileSchema.parse(JSON.parse(text)).lists;
    } catch {
      throw new FailureError({ code: 'decisions-damaged', message: 'What was decided about lists of cases cannot be read.', remedy: `${document.wayOut}; the decisions have to be made anew.` });
    }
  }
  return {
    async of(sha256) {
      const found = (await read()).find((list) => list.sha256 === sha256);
      return found === undefined ? null : { request: found.request, decisions: found.decisions };
    },
    async keep(sha256, { request, decisions }) {
      const others = (await read()).filter((list) => list.sha256 !== sha256);
      await document.replace(`${JSON.stringify({ schema: SCHEMA, lists: [...others, { sha256, request, decisions }].slice(-MOST_LISTS) }, null, 2)}\n`);
    },
  };
}
