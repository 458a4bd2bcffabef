import { z } from 'zod';
import { mappingSchema } from './mapping-schema.ts';
import { analysisParametersSchema } from './parameters-schema.ts';
import { chartRulesSchema, qualityDefinitionSchema } from './quality-chart-schema.ts';
import type { SharedDefinitions } from './shared-definitions.ts';
import { studyProtocolSchema } from './study-protocol-schema.ts';

export const sharedDefinitionsSchema: z.ZodType<SharedDefinitions> = z.strictObject({
  schema: z.literal('lacuna-shared-definitions/1'),
  productVersion: z.string(),
  sharedAt: z.string(),
  notShared: z.array(z.strictObject({ what: z.string(), why: z.string() })),
  inForce: z.string(),
  mappings: z.array(mappingSchema),
  parameterSets: z.array(analysisParametersSchema),
  protocols: z.array(studyProtocolSchema),
  charts: z.array(z.strictObject({ name: z.string().min(1), definition: qualityDefinitionSchema, rules: chartRulesSchema })),
});
