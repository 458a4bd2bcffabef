import { z } from 'zod';
import { DEFAULT_LANES } from '../../core/model/lane-choice.ts';
import { laneChoiceSchema } from '../../core/model/lane-choice-schema.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { LaneChoiceStore } from './case-store.ts';
import type { LibraryDocument } from './library-shelf.ts';

const SCHEMA = 'lacuna-timeline-lanes/1';
const fileSchema = z.object({ schema: z.literal(SCHEMA), choice: laneChoiceSchema });

/**
 * Returns the lanes of the timeline that are kept in a document.
 * Missing  no text: the lanes as the program has them.
 * Errors   rejects with a FailureError: `lanes-damaged`, or what the disk refused.
 */
export function buildKeptLanes(document: LibraryDocument): LaneChoiceStore {
  const store: LaneChoiceStore = {
    async read() {
      const text = await document.read();
      if (text === null) return DEFAULT_LANES;
      try {
        return fileSchema.parse(JSON.parse(text)).choice;
      } catch {
        throw new FailureError({ code: 'lanes-damaged', message: 'The lanes that were chosen for this library cannot be read; the timeline has its own.', remedy: `${document.wayOut}, then choose the lanes anew.` });
      }
    },
    async keep(choice) {
      // What cannot be read is not written over.
      await store.read();
      await document.replace(`${JSON.stringify({ schema: SCHEMA, choice }, null, 2)}\n`);
      return choice;
    },
  };
  return store;
}
