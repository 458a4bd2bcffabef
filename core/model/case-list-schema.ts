import { z } from 'zod';
import type { CaseListRequest, CaseListResult, ListDecision } from './case-list.ts';
import { LIBRARY_CASE_STATES, LIST_ROW_STATES } from './case-list.ts';

const count = z.number().int().min(0);
const columnSchema = z.strictObject({ key: z.string(), heading: z.string(), filled: count, fits: count, isCoded: z.boolean() });
const stateCounts = Object.fromEntries([...LIST_ROW_STATES, ...LIBRARY_CASE_STATES].map((state) => [state, count]));

/** The schema of what a person chooses about a list. */
export const caseListRequestSchema: z.ZodType<CaseListRequest> = z.strictObject({
  table: z.string().max(2000).nullable(),
  idColumn: z.string().max(2000).nullable(),
  dateColumn: z.string().max(2000).nullable(),
});

/** The schema of what a person decided about rows that fit doubtfully. */
export const listDecisionsSchema: z.ZodType<readonly ListDecision[]> = z.array(z.strictObject({ line: z.number().int().min(1), caseKey: z.string().max(64).nullable() })).max(200_000);

/** The schema of a list held against the library. */
export const caseListResultSchema: z.ZodType<CaseListResult> = z.strictObject({
  list: z.strictObject({
    file: z.string(),
    sha256: z.string(),
    encoding: z.string(),
    delimiter: z.string(),
    tables: z.array(z.string()),
    table: z.string(),
    idColumns: z.array(columnSchema),
    idColumn: z.string(),
    idBecause: z.string(),
    dateColumns: z.array(columnSchema),
    dateColumn: z.string().nullable(),
    rowsRead: count,
    rowsAccepted: count,
    rowsRejected: count,
    rejected: z.array(z.strictObject({ reason: z.string(), count, first_line: z.number().int() })),
    notes: z.array(z.string()),
  }),
  rows: z.array(
    z.strictObject({
      line: z.number().int(),
      key: z.string(),
      date: z.string().nullable(),
      state: z.enum(LIST_ROW_STATES),
      reason: z.string(),
      caseKey: z.string().nullable(),
      caseId: z.string().nullable(),
      caseDate: z.string().nullable(),
      proposals: z.array(z.strictObject({ caseKey: z.string(), caseId: z.string(), date: z.string().nullable(), doubts: z.array(z.string()) })),
      decision: z.enum(['accepted', 'refused']).nullable(),
    }),
  ),
  cases: z.array(z.strictObject({ caseKey: z.string(), caseId: z.string(), date: z.string().nullable(), state: z.enum(LIBRARY_CASE_STATES), reason: z.string() })),
  // Object.fromEntries forgets the keys; the states are all of them.
  counts: z.strictObject(stateCounts) as unknown as z.ZodType<CaseListResult['counts']>,
  libraryCases: count,
});
