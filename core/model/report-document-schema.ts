import { z } from 'zod';
import { INKS, MARK_FORMS, MOST_HEADER_CHARACTERS, MOST_SHEETS, PAPER_NAMES, type Ink, type ReportBlock, type ReportDocument, type ReportSheets, type ReportWishes } from './report-document.ts';

const INK_NAMES = Object.keys(INKS) as [Ink, ...Ink[]]; // the keys of a record of inks, which is not empty
const inkSchema = z.enum(INK_NAMES);
const pointSchema = z.tuple([z.number(), z.number()]).readonly();
const dashSchema = z.array(z.number()).optional();

const shapeSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('line'), points: z.array(pointSchema), ink: inkSchema, width: z.number(), dash: dashSchema }),
  z.strictObject({ kind: z.literal('area'), points: z.array(pointSchema), fill: inkSchema }),
  z.strictObject({ kind: z.literal('box'), x: z.number(), y: z.number(), width: z.number(), height: z.number(), fill: inkSchema.nullable(), edge: inkSchema.nullable(), dash: dashSchema }),
  z.strictObject({ kind: z.literal('text'), x: z.number(), y: z.number(), text: z.string(), size: z.number(), ink: inkSchema, align: z.enum(['start', 'middle', 'end']), isBold: z.boolean().optional() }),
  z.strictObject({ kind: z.literal('mark'), form: z.enum(MARK_FORMS), x: z.number(), y: z.number(), size: z.number(), ink: inkSchema, isHollow: z.boolean().optional() }),
]);

const tableSchema = z.strictObject({
  caption: z.string(),
  columns: z.array(z.strictObject({ heading: z.string(), align: z.enum(['start', 'end']) })),
  rows: z.array(z.array(z.string())),
  note: z.string(),
});

const figureSchema = z.strictObject({ caption: z.string(), alternative: z.string(), scene: z.strictObject({ width: z.number(), height: z.number(), shapes: z.array(shapeSchema) }) });

/** Checks a part of a report or a slide. */
export const blockSchema: z.ZodType<ReportBlock> = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('heading'), level: z.union([z.literal(2), z.literal(3)]), text: z.string() }),
  z.strictObject({ kind: z.literal('paragraph'), text: z.string(), tone: z.enum(['plain', 'soft', 'lead']) }),
  z.strictObject({ kind: z.literal('list'), items: z.array(z.string()), isNumbered: z.boolean() }),
  z.strictObject({ kind: z.literal('facts'), rows: z.array(z.tuple([z.string(), z.string()]).readonly()) }),
  z.strictObject({ kind: z.literal('table'), table: tableSchema }),
  z.strictObject({ kind: z.literal('figure'), figure: figureSchema, table: tableSchema.nullable() }),
]);

/** Checks a report on its way to the page. */
export const reportDocumentSchema: z.ZodType<ReportDocument> = z.strictObject({
  title: z.string(), subtitle: z.string(), language: z.literal('en'), header: z.string(), footer: z.string(), paper: z.enum(PAPER_NAMES), isDense: z.boolean(), blocks: z.array(blockSchema),
});

/** Checks sheets on their way to and from the page. */
export const reportSheetsSchema: z.ZodType<ReportSheets> = z.strictObject({ title: z.string(), documents: z.array(reportDocumentSchema).min(1).max(MOST_SHEETS) });

/** Checks what a person chose for a report. */
export const reportWishesSchema: z.ZodType<ReportWishes> = z.strictObject({ header: z.string().max(MOST_HEADER_CHARACTERS), paper: z.enum(PAPER_NAMES), relativeTime: z.boolean() });
