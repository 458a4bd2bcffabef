import { z } from 'zod';
import { STUDY_EFFECTS, STUDY_OUTCOMES } from './next-study.ts';
import { analysisParametersSchema } from './parameters-schema.ts';
import type { KeptProtocol, ProtocolContent, StudyProtocol } from './study-protocol.ts';
import { PROTOCOL_DESIGNS } from './study-protocol.ts';

const text = z.string().max(20_000);
const said = text.refine((value) => value.trim() !== '', { message: 'this has to be filled in before the protocol is fixed' });
const contentFields = {
  title: said.max(200),
  question: said,
  design: z.enum(PROTOCOL_DESIGNS),
  outcome: z.enum(STUDY_OUTCOMES),
  effect: z.enum(STUDY_EFFECTS).nullable(),
  effectSize: z.number().nullable(),
  sites: z.array(z.string().min(1).max(200)).min(1, 'name one site at least').max(20),
  cases: said,
  n: z.number().int().min(1).max(1_000_000).nullable(),
  analysis: said,
  conf: z.number().min(0.5).max(0.999),
  seed: z.number().int().min(0).max(4_294_967_295),
  parameters: analysisParametersSchema,
};

/** The schema of what is to be fixed: nothing that counts may be left empty. */
export const protocolContentSchema: z.ZodType<ProtocolContent> = z.strictObject(contentFields);

/** The schema of a fixed protocol. */
export const studyProtocolSchema: z.ZodType<StudyProtocol> = z.strictObject({
  ...contentFields,
  protocolId: z.string().regex(/^[0-9a-f]{16}$/),
  version: z.number().int().min(1),
  reason: text,
  fixedAt: z.iso.datetime(),
  productVersion: z.string().max(100),
  digest: z.string().regex(/^[0-9a-f]{64}$/),
});

/** The schema of protocols as they were found. */
export const keptProtocolsSchema: z.ZodType<readonly KeptProtocol[]> = z.array(z.strictObject({ protocol: studyProtocolSchema, isIntact: z.boolean() }));
