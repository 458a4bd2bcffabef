import { z } from 'zod';
import { MARKS_MOST } from '../../core/model/case-mark.ts';
import type { CaseMark } from '../../core/model/case-mark.ts';
import { caseMarkSchema } from '../../core/model/case-mark-schema.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { CaseMarkStore } from './case-store.ts';
import type { LibraryDocument } from './library-shelf.ts';

const SCHEMA = 'lacuna-case-marks/1';
const fileSchema = z.object({ schema: z.literal(SCHEMA), cases: z.array(z.strictObject({ caseKey: z.string(), marks: z.array(caseMarkSchema) })) });
type MarkedCases = z.infer<typeof fileSchema>['cases'];

/**
 * Returns the marks of cases that are kept in a document. What is removed is gone from the disk: a note may name a person.
 * Missing  no text, or a case without marks: none.
 * Errors   rejects with a FailureError: `marks-damaged`, `marks-full`, or what the disk refused.
 */
export function buildKeptMarks(document: LibraryDocument): CaseMarkStore {
  async function read(): Promise<MarkedCases> {
    const text = await document.read();
    try {
      return text === null ? [] : fileSchema.parse(JSON.parse(text)).cases;
    } catch {
      throw new FailureError({ code: 'marks-damaged', message: 'The marks and notes of the library cannot be read.', remedy: `${document.wayBack}. Nothing is written over what is there.` });
    }
  }
  async function write(cases: MarkedCases, caseKey: string, marks: readonly CaseMark[]): Promise<readonly CaseMark[]> {
    const others = cases.filter((one) => one.caseKey !== caseKey);
    const inOrder = [...marks].sort((a, b) => a.startMs - b.startMs || (a.markId < b.markId ? -1 : 1));
    await document.replace(`${JSON.stringify({ schema: SCHEMA, cases: inOrder.length === 0 ? others : [...others, { caseKey, marks: inOrder }] })}\n`);
    return inOrder;
  }
  const of = (cases: MarkedCases, caseKey: string): readonly CaseMark[] => cases.find((one) => one.caseKey === caseKey)?.marks ?? [];
  return {
    async list(caseKey) {
      return of(await read(), caseKey);
    },
    async keep(caseKey, mark) {
      const cases = await read();
      const others = of(cases, caseKey).filter(({ markId }) => markId !== mark.markId);
      if (others.length >= MARKS_MOST) throw new FailureError({ code: 'marks-full', message: `A case can have ${MARKS_MOST} marks.`, remedy: 'Remove marks that are no longer needed.' });
      return await write(cases, caseKey, [...others, mark]);
    },
    async remove(caseKey, markId) {
      const cases = await read();
      const marks = of(cases, caseKey);
      const left = marks.filter((mark) => mark.markId !== markId);
      return left.length === marks.length ? marks : await write(cases, caseKey, left);
    },
    async forget(caseKey) {
      const cases = await read();
      if (of(cases, caseKey).length > 0) await write(cases, caseKey, []);
    },
  };
}
